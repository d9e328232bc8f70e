//! What results are about: a thing tested, at a face velocity.

use moteweir_units::Velocity;

use super::reading::{Reading, Readings, Sample, State};

/// Face velocities within this factor of the slowest are one.
const ONE_VELOCITY: f64 = 1.1;

/// A thing tested at one face velocity.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Subject {
    /// Position in [`Readings::specimens`].
    pub(super) specimen: u32,
    /// Mean over its readings.
    pub(super) velocity: Option<Velocity>,
    /// The readings' slowest and fastest.
    range: Option<(f64, f64)>,
}

/// Everything that was tested, and which of it each reading is of.
#[derive(Clone, Debug)]
pub(super) struct Subjects {
    /// By specimen, then by velocity.
    pub(super) all: Vec<Subject>,
    /// For each specimen, where its subjects begin.
    first: Vec<usize>,
}

impl Subjects {
    pub(super) fn of(readings: &Readings) -> Self {
        let mut velocities: Vec<Vec<Option<f64>>> = vec![Vec::new(); readings.specimens.len()];
        for reading in &readings.readings {
            if let State::Sample(specimen) = reading.state {
                velocities[specimen as usize].push(reading.face_velocity.map(Velocity::si));
            }
        }
        let mut subjects = Self { all: Vec::new(), first: Vec::new() };
        for (specimen, mut velocities) in velocities.into_iter().enumerate() {
            subjects.first.push(subjects.all.len());
            velocities.sort_by(|a, b| a.unwrap_or(0.0).total_cmp(&b.unwrap_or(0.0)));
            let specimen = u32::try_from(specimen).unwrap_or(u32::MAX);
            subjects.all.extend(clusters(&velocities).into_iter().map(|(velocity, range)| Subject {
                specimen,
                velocity: velocity.map(Velocity::from_si),
                range,
            }));
        }
        subjects
    }

    /// Which subject a reading is of; none for a reading without a sample.
    pub(super) fn of_reading(&self, reading: &Reading) -> Option<usize> {
        let State::Sample(specimen) = reading.state else { return None };
        let first = self.first[specimen as usize];
        let velocity = reading.face_velocity.map(Velocity::si);
        let of_it = self.all[first..].iter().take_while(|subject| subject.specimen == specimen);
        let is_within = |subject: &Subject| match (subject.range, velocity) {
            (Some((low, high)), Some(v)) => (low..=high).contains(&v),
            (None, None) => true,
            _ => false,
        };
        of_it.clone().position(is_within).map(|at| first + at)
    }

    /// The sample of a subject.
    pub(super) fn sample<'r>(&self, subject: usize, readings: &'r Readings) -> &'r Sample {
        &readings.specimens[self.all[subject].specimen as usize]
    }

    /// In words; the face velocity where the same thing was tested at several.
    pub(super) fn words(&self, subject: usize, readings: &Readings) -> String {
        let this = &self.all[subject];
        let sample = self.sample(subject, readings).words();
        let is_several = self.all.iter().filter(|s| s.specimen == this.specimen).count() > 1;
        match this.velocity {
            Some(velocity) if is_several => {
                format!("{sample}, {}", moteweir_units::show::Show::show(velocity, 2))
            }
            None if is_several => format!("{sample}, velocity not given"),
            _ => sample,
        }
    }
}

/// Mean of some velocities, and the slowest and fastest of them.
type Cluster = (Option<f64>, Option<(f64, f64)>);

/// Mean and ends of each run of sorted velocities that are as good as one.
fn clusters(sorted: &[Option<f64>]) -> Vec<Cluster> {
    let mut clusters: Vec<(f64, f64, f64, usize)> = Vec::new();
    let mut is_any_unknown = false;
    for &velocity in sorted {
        let Some(v) = velocity else {
            is_any_unknown = true;
            continue;
        };
        match clusters.last_mut() {
            Some((low, high, sum, count)) if v <= *low * ONE_VELOCITY => {
                *high = v;
                *sum += v;
                *count += 1;
            }
            _ => clusters.push((v, v, v, 1)),
        }
    }
    let unknown = is_any_unknown.then_some((None, None));
    let known = clusters.into_iter().map(|(low, high, sum, n)| (Some(sum / n as f64), Some((low, high))));
    unknown.into_iter().chain(known).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn velocities_that_are_as_good_as_one_are_one() {
        let found = clusters(&[None, Some(0.10), Some(0.104), Some(0.2)]);
        let means: Vec<Option<f64>> = found.iter().map(|(mean, _)| *mean).collect();
        assert_eq!(means.len(), 3);
        assert_eq!(means[0], None);
        assert!((means[1].unwrap() - 0.102).abs() < 1e-12 && (means[2].unwrap() - 0.2).abs() < 1e-12);
    }
}
