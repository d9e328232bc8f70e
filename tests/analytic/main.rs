//! Closed forms and identities over every model: what has to hold whatever the literature says.

mod aerosols;
mod cell_flow;
mod charges;
mod closures;
mod diffusion_limits;
mod impaction_limits;

mod layers;
mod particles;
mod random_webs;
mod text_round_trips;
mod weaves;
mod webs;
mod worst_sizes;
