//! Slices of the tables that webs and fibres of a run share, each made once.

use std::collections::HashMap;
use std::hash::Hash;
use std::sync::{Arc, Mutex, PoisonError};

use moteweir_units::Solidity;

use crate::single_fibre::electret_law::ElectretLaw;
use crate::single_fibre::impaction::ImpactionSlice;
use crate::single_fibre::resolved;

/// Most slices of one table that are remembered; beyond, they are made anew each time.
const MOST: usize = 256;

/// The tables' slices at the solidities and fibre Knudsen numbers asked for so far.
///
/// A slice takes far longer to make than to ask; a case has few solidities and fibres, and many velocities. A slice is a
/// pure function of what it is asked by, so what is remembered never goes stale.
#[derive(Debug, Default)]
pub struct Slices {
    impaction: Known<u64, ImpactionSlice>,
    charge: Known<u64, Arc<ElectretLaw>>,
    cells: Known<[u64; 2], resolved::Slice>,
}

impl Slices {
    /// The impaction table at a solidity.
    pub fn impaction(&self, solidity: Solidity) -> ImpactionSlice {
        self.impaction.at(solidity.fraction().to_bits(), || ImpactionSlice::new(solidity))
    }

    /// The joint law of charge at a solidity.
    pub fn charge(&self, solidity: Solidity) -> Arc<ElectretLaw> {
        self.charge.at(solidity.fraction().to_bits(), || Arc::new(ElectretLaw::at(solidity)))
    }

    /// The solved cell at a solidity and a fibre Knudsen number, finite and not negative.
    pub fn cell(&self, solidity: Solidity, fibre_knudsen: f64) -> resolved::Slice {
        let key = [solidity.fraction(), fibre_knudsen].map(f64::to_bits);
        self.cells.at(key, || resolved::Slice::new(solidity, fibre_knudsen))
    }
}

/// What has been made, by the bits of what it was made for.
#[derive(Debug)]
struct Known<K, T>(Mutex<HashMap<K, T>>);

impl<K, T> Default for Known<K, T> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

impl<K: Eq + Hash, T: Clone> Known<K, T> {
    fn at(&self, key: K, make: impl FnOnce() -> T) -> T {
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner).get(&key).cloned();
        known.unwrap_or_else(|| {
            // Made outside the lock: two threads may both make it, and make the same.
            let made = make();
            let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
            if all.len() < MOST {
                all.insert(key, made.clone());
            }
            made
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_remembered_is_what_would_be_made() {
        let slices = Slices::default();
        let alpha = |n: usize| Solidity::new(0.05 + 0.001 * n as f64).expect("inside 0..1");
        let groups = resolved::Mechanical { peclet: 300.0, stokes: 0.1, interception: 0.1 };
        for _ in 0..2 {
            for (n, knudsen) in [(0, 0.0), (0, 0.1), (1, 0.1)] {
                let fresh = resolved::Slice::new(alpha(n), knudsen).composed(groups);
                assert_eq!(slices.cell(alpha(n), knudsen).composed(groups), fresh);
            }
        }
        let known = |slices: &Slices| slices.cells.0.lock().map_or(0, |all| all.len());
        assert_eq!(known(&slices), 3);
        // Bounded, whatever is asked.
        for n in 0..MOST + 10 {
            slices.cell(alpha(n), 0.2);
        }
        assert_eq!(known(&slices), MOST);
    }
}
