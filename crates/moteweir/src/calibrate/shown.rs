//! Curves with their bands, and what was measured beside them.

use moteweir_sim::counting::{Counted, ratio_interval};

use super::evidence::Through;
use super::forward::Forward;
use super::outlook::{Foreseen, Foresight, Outlook};
use super::parameters::quantile;
use crate::report::{CalibratedBands, CalibratedCurve, CalibratedQuantiles, MeasuredPoint};

/// The curves of all that is shown.
pub(super) fn curves(
    forward: &Forward<'_>,
    outlook: &Outlook<'_>,
    before: &[Foresight],
    after: &[Foresight],
) -> Vec<CalibratedCurve> {
    let shown = outlook.foreseen.iter().enumerate().filter(|(_, f)| f.shown);
    shown
        .map(|(i, f)| CalibratedCurve {
            specimen: f.name.clone(),
            face_velocity_m_per_s: outlook.velocities[f.velocity].to_m_per_s(),
            in_use: f.velocity == 0,
            diameter_m: outlook.sizes[..Outlook::SIZES].iter().map(|d| d.to_m()).collect(),
            penetration: bands(after, i),
            prior_penetration: bands(before, i),
            mpps_m: quantiles(after.iter().map(|x| x.worst[i].0)),
            mpps_penetration: quantiles(after.iter().map(|x| x.worst[i].1)),
            pressure_drop_pa: quantiles(after.iter().map(|x| x.pressure_drop[i])),
            measured: measured(forward, outlook, f),
        })
        .collect()
}

fn bands(draws: &[Foresight], foreseen: usize) -> CalibratedBands {
    let mut bands = CalibratedBands::default();
    for size in 0..Outlook::SIZES {
        let q = quantiles(draws.iter().map(|d| d.penetration[foreseen][size]));
        bands.q025.push(q.q025);
        bands.q25.push(q.q25);
        bands.q50.push(q.q50);
        bands.q75.push(q.q75);
        bands.q975.push(q.q975);
    }
    bands
}

/// 95 % and 50 % of some values.
pub(super) fn quantiles(values: impl Iterator<Item = f64>) -> CalibratedQuantiles {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let at = |p| quantile(&sorted, p);
    CalibratedQuantiles { q025: at(0.025), q25: at(0.25), q50: at(0.5), q75: at(0.75), q975: at(0.975) }
}

/// What was measured of a specimen at its velocity, by counting alone.
fn measured(forward: &Forward<'_>, outlook: &Outlook<'_>, foreseen: &Foreseen) -> Vec<MeasuredPoint> {
    let velocity = outlook.velocities[foreseen.velocity];
    let evidence = &forward.evidence;
    let same = |number: usize| {
        let test = &evidence.tests[number];
        test.sheets == foreseen.sheets
            && !test.discharged
            && (evidence.velocities[test.velocity] / velocity).ln().abs() < 0.01
    };
    let mut points = Vec::new();
    for (number, channel) in evidence.channels.iter().enumerate() {
        let total = |wanted: &dyn Fn(Through) -> bool| {
            let of = channel.readings.iter().filter(|r| wanted(r.through));
            of.fold((0.0, 0.0), |s: (f64, f64), r| (s.0 + r.counts, s.1 + r.exposure))
        };
        let through = total(&|t| matches!(t, Through::Test(test) if same(test)));
        let open = total(&|t| t == Through::Open);
        if through.1 <= 0.0 || open.0 <= 0.0 {
            continue;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "counts")]
        let counted = |(counts, exposure): (f64, f64)| Counted { counts: counts as u64, exposure };
        let found = ratio_interval(counted(through), counted(open), 0.95);
        points.push(MeasuredPoint {
            diameter_m: forward.centre_of(number).exp(),
            from_m: channel.from,
            to_m: channel.to,
            penetration: through.0 / through.1 / (open.0 / open.1),
            penetration_low: found.low,
            penetration_high: found.high,
        });
    }
    points.extend(evidence.points.iter().filter(|p| same(p.test)).map(|p| MeasuredPoint {
        diameter_m: p.diameter,
        from_m: p.diameter,
        to_m: p.diameter,
        penetration: p.ln_p.exp(),
        penetration_low: (p.ln_p - 1.959964 * p.deviation).exp(),
        penetration_high: (p.ln_p + 1.959964 * p.deviation).exp(),
    }));
    points
}
