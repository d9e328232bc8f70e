//! The joint law at the solidities that a run meets, each made once.

use std::sync::{Arc, Mutex, PoisonError};

use moteweir_units::Solidity;

use super::ElectretLaw;

/// The joint law at the solidities asked for so far.
///
/// A pure function of the solidity, so that what is remembered never goes stale.
#[derive(Debug, Default)]
pub struct ElectretLaws {
    known: Mutex<Vec<(Solidity, Arc<ElectretLaw>)>>,
}

impl ElectretLaws {
    /// The law at a solidity.
    pub fn at(&self, solidity: Solidity) -> Arc<ElectretLaw> {
        let known = |list: &[(Solidity, Arc<ElectretLaw>)]| {
            list.iter().find(|(s, _)| *s == solidity).map(|(_, law)| Arc::clone(law))
        };
        if let Some(law) = known(&self.known.lock().unwrap_or_else(PoisonError::into_inner)) {
            return law;
        }
        // Made outside the lock: two threads may both make it, and make the same.
        let law = Arc::new(ElectretLaw::at(solidity));
        let mut list = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(law) = known(&list) {
            return law;
        }
        list.push((solidity, Arc::clone(&law)));
        law
    }
}
