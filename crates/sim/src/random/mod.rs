//! Random numbers that know what they are for: keyed streams, normals, scrambled Sobol points, parallel batches.
//!
//! Nothing here has a state that runs on. A number is a function of (seed, purpose, index), so that one more variable,
//! layer or target moves no other number, a longer run begins with the draws of the shorter one, and the number of
//! threads does not matter. What is computed uses IEEE arithmetic and `libm` only, and has the same bits everywhere.
//!
//! ```
//! use moteweir_sim::random::{Purpose, Stream};
//!
//! const FIBRE_DIAMETER: Purpose = Purpose::named("fibre diameter");
//!
//! // The 1000th draw of the fibre diameter of layer 2, in a run with seed 7.
//! let mut stream = Stream::new(7, FIBRE_DIAMETER.item(2), 1000);
//! assert_eq!(stream.normal(), Stream::new(7, FIBRE_DIAMETER.item(2), 1000).normal());
//! ```

mod batches;
mod normal;
mod philox;
mod sobol;
mod sobol_directions;
mod stream;

pub use batches::{BATCHES_A_WAVE, fold_batches};
pub use normal::{normal_quantile, truncated_normal_quantile};
pub use philox::philox4x64;
pub use sobol::{MOST_SOBOL_DIMENSIONS, Sobol};
pub use stream::{Purpose, Stream, unit_interval};
