//! Slices of the impaction table at the solidities that a run meets, each made once.

use std::sync::{Mutex, PoisonError};

use moteweir_units::Solidity;

use super::ImpactionSlice;

/// The table's slices at the solidities asked for so far.
///
/// A slice takes far longer to make than to ask; a case has few solidities and many velocities. A slice is a pure
/// function of its solidity, so what is remembered never goes stale.
#[derive(Debug, Default)]
pub struct ImpactionSlices {
    known: Mutex<Vec<(Solidity, ImpactionSlice)>>,
}

impl ImpactionSlices {
    /// The slice at a solidity.
    pub fn at(&self, solidity: Solidity) -> ImpactionSlice {
        let known = |list: &[(Solidity, ImpactionSlice)]| {
            list.iter().find(|(s, _)| *s == solidity).map(|(_, slice)| slice.clone())
        };
        if let Some(slice) = known(&self.known.lock().unwrap_or_else(PoisonError::into_inner)) {
            return slice;
        }
        // Made outside the lock: two threads may both make it, and make the same.
        let slice = ImpactionSlice::new(solidity);
        let mut list = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if known(&list).is_none() {
            list.push((solidity, slice.clone()));
        }
        slice
    }
}
