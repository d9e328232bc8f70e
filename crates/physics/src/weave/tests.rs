use super::*;
use crate::particle::Particle;
use moteweir_units::{
    Density, LinearDensity, Pressure, Solidity, SurfaceCharge, Temperature, ThreadCount, Viscosity,
};

/// Air of the worked example: 1.81e-5 Pa s, mean free path 66 nm.
pub(super) fn worked_air() -> Air {
    Air::with_properties(
        Temperature::from_kelvin(293.15),
        Pressure::from_pa(101_325.0),
        Viscosity::from_pa_s(1.81e-5),
        Density::from_kg_per_m3(1.204),
        Length::from_nm(66.0),
    )
}

/// 400 straight pores/cm2 of 60 um, 300 um thick, yarns of solidity 0.5.
pub(super) fn worked_fabric() -> Fabric {
    let pores = Pores { diameter: Length::from_um(60.0), per_area: 4e6, shape: PoreShape::Straight };
    Fabric {
        pores: Some(pores),
        thickness: Length::from_um(300.0),
        yarn_solidity: Solidity::new(0.5).expect("inside 0..1"),
        yarn_bulk: Length::from_um(300.0) * (1.0 - pores.open_area()),
        yarn_drag_factor: 1.0,
    }
}

fn uncharged() -> Electret {
    Electret {
        surface_charge: SurfaceCharge::from_c_per_m2(0.0),
        fibre_permittivity: 3.0,
        particle_permittivity: 3.0,
    }
}

fn weave_of(fabric: Fabric, hairs: f64) -> Weave {
    Weave {
        class: WeaveClass::Woven,
        fabric,
        ends: [fabric; 2],
        fibre_diameter: Length::from_um(12.0),
        hairs,
        electret: uncharged(),
        pores_from: PoresFrom::Construction,
    }
}

/// A cotton cloth by its class alone: counts a centimetre, tex.
fn cotton(class: WeaveClass, warp: f64, weft: f64, tex: f64) -> WeaveConstruction {
    WeaveConstruction {
        class,
        warp: ThreadCount::from_per_cm(warp),
        weft: ThreadCount::from_per_cm(weft),
        yarn_linear_density: LinearDensity::from_tex(tex),
        fibre_diameter: Length::from_um(14.0),
        fibre_density: Density::from_g_per_cm3(1.52),
        thickness: None,
        yarn_width: None,
        hairs: 0.003,
        electret: uncharged(),
    }
}

fn sheeting() -> WeaveConstruction {
    cotton(WeaveClass::Woven, 30.0, 28.0, 20.0)
}

fn cm_per_s(value: f64) -> Velocity {
    Velocity::from_cm_per_s(value)
}

fn particle(air: &Air, um: f64) -> Particle {
    Particle::new(air, Length::from_um(um), Density::from_kg_per_m3(1000.0))
}

fn ready(weave: &Weave, face_velocity: f64) -> PreparedWeave {
    weave.prepare(Closure::LeeLiu, &worked_air(), cm_per_s(face_velocity), FlowDirection::Horizontal)
}

fn penetration(weave: &Weave, face_velocity: f64, um: f64) -> f64 {
    ready(weave, face_velocity).penetration(&particle(&worked_air(), um), 0).value
}

fn sizes() -> impl Iterator<Item = f64> {
    (0..=100).map(|i| 1e-3 * 10.0_f64.powf(f64::from(i) / 20.0))
}

#[test]
fn a_bare_pore_stops_next_to_nothing() {
    // Pore of 60 um, 300 um long, the worked example's share of 0.1 m/s: 2.1 % at 20 nm, 0.3 % at 100 nm.
    let weave = ready(&weave_of(worked_fabric(), 0.0), 10.0);
    for (um, stopped) in [(0.02, 0.021), (0.1, 0.003)] {
        let paths = weave.paths(&particle(&worked_air(), um), 0);
        let pores = paths.pores.expect("has pores");
        assert!((1.0 - pores.penetration.value - stopped).abs() < 5e-4, "{um} um: {pores:?}");
    }
}

#[test]
fn closed_pores_leave_the_yarns_alone() {
    let closed = weave_of(Fabric { pores: None, ..worked_fabric() }, 0.005);
    let narrow = |um: f64| {
        let pores = Pores { diameter: Length::from_um(um), per_area: 4e6, shape: PoreShape::Straight };
        weave_of(Fabric { pores: Some(pores), yarn_bulk: Length::from_um(300.0), ..worked_fabric() }, 0.005)
    };
    let bundle =
        weave_of(Fabric { pores: None, yarn_bulk: Length::from_um(300.0), ..worked_fabric() }, 0.005);
    for um in [0.02, 0.3, 1.0] {
        let prepared = ready(&closed, 5.0);
        let paths = prepared.paths(&particle(&worked_air(), um), 0);
        assert!(paths.pores.is_none());
        assert!((penetration(&closed, 5.0, um) - paths.yarns.value).abs() < 1e-15);
        let (with, without) = (penetration(&narrow(0.5), 5.0, um), penetration(&bundle, 5.0, um));
        assert!((with / without - 1.0).abs() < 1e-3, "{um} um: {with} with 0.5 um pores, {without} without");
    }
}

#[test]
fn yarns_alone_are_a_web_in_the_cell() {
    let bulk = Length::from_um(300.0);
    let fabric = Fabric { pores: None, yarn_bulk: bulk, ..worked_fabric() };
    let web = crate::web::Web {
        solidity: fabric.yarn_solidity,
        thickness: bulk,
        fibres: crate::fibre::FibreDiameters::uniform(Length::from_um(12.0)),
        electret: uncharged(),
        unevenness: 0.0,
        inhomogeneity: 1.0,
        drag_factor: None,
    };
    let web = web.prepare(Closure::KuwabaraCell, &worked_air(), cm_per_s(5.0), FlowDirection::Horizontal);
    for um in sizes() {
        let particle = particle(&worked_air(), um);
        let (a, b) =
            (ready(&weave_of(fabric, 0.0), 5.0).penetration(&particle, 1), web.penetration(&particle, 1));
        assert!(
            (a.value - b.value).abs() <= 1e-12 && (a.high - b.high).abs() <= 1e-12,
            "{um} um: {a:?}, {b:?}"
        );
    }
}

#[test]
fn penetration_is_a_fraction_in_order_at_every_size() {
    let knit = cotton(WeaveClass::Knit, 12.0, 15.0, 25.0);
    let dense = cotton(WeaveClass::Woven, 28.0, 18.0, 84.0);
    let gauze = cotton(WeaveClass::Woven, 12.0, 9.0, 14.0);
    for construction in [sheeting(), knit, dense, gauze, WeaveConstruction { hairs: 0.0, ..sheeting() }] {
        let weave = Weave::from_construction(&construction).expect("fits");
        for direction in [FlowDirection::Horizontal, FlowDirection::Down, FlowDirection::Up] {
            for closure in Closure::ALL {
                for u in [0.05, 5.3, 100.0] {
                    let ready = weave.prepare(closure, &worked_air(), cm_per_s(u), direction);
                    let dp = ready.pressure_drop();
                    assert!(0.0 < dp.low && dp.low <= dp.value && dp.value <= dp.high && dp.high.is_finite());
                    for um in sizes() {
                        for p in ready.penetrations(&particle(&worked_air(), um), &[0, 1, -30]) {
                            let fine = 0.0 <= p.low && p.low <= p.value && p.value <= p.high && p.high <= 1.0;
                            assert!(fine, "{um} um at {u} cm/s, {closure:?}, {direction:?}: {p:?}");
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn coarse_particles_do_not_fall_through_a_cloth() {
    let (um, u) = ([10.0, 17.8, 31.6, 59.0], cm_per_s(0.5));
    for closure in Closure::ALL {
        let ready = |direction| weave_of(worked_fabric(), 0.2).prepare(closure, &worked_air(), u, direction);
        let (down, across) = (ready(FlowDirection::Down), ready(FlowDirection::Horizontal));
        let mut before = 1.0;
        for um in um {
            let p = |weave: &PreparedWeave| weave.penetration(&particle(&worked_air(), um), 0).value;
            assert!(
                p(&down) <= before && p(&down) <= p(&across) + 1e-12,
                "{um} um: {} down, {before}",
                p(&down)
            );
            before = p(&down);
        }
    }
}

#[test]
fn any_construction_gives_a_cloth_or_an_error() {
    let um = |x: f64| (x > 0.0).then(|| Length::from_um(x));
    let (mut cloths, mut errors) = (0, 0);
    for class in [WeaveClass::Woven, WeaveClass::Knit] {
        for (warp, weft) in [(1.0, 1.0), (8.0, 30.0), (30.0, 8.0), (30.0, 28.0), (90.0, 60.0)] {
            for tex in [0.5, 5.0, 14.0, 25.0, 120.0] {
                for width in [0.0, 30.0, 200.0, 400.0, 3000.0] {
                    for thickness in [0.0, 20.0, 250.0, 5000.0] {
                        let construction = WeaveConstruction {
                            yarn_width: um(width),
                            thickness: um(thickness),
                            ..cotton(class, warp, weft, tex)
                        };
                        let Ok(weave) = Weave::from_construction(&construction) else {
                            errors += 1;
                            continue;
                        };
                        cloths += 1;
                        let open = weave.fabric.open_area();
                        assert!(open > 0.0 && open < 1.0, "{construction:?}: {open} open");
                        let ready = ready(&weave, 5.3);
                        let (dp, p) =
                            (ready.pressure_drop(), ready.penetration(&particle(&worked_air(), 0.3), 0));
                        assert!(
                            0.0 < dp.low && dp.low <= dp.value && dp.high.is_finite(),
                            "{construction:?}: {dp:?}"
                        );
                        assert!(0.0 <= p.low && p.low <= p.value && p.high <= 1.0, "{construction:?}: {p:?}");
                    }
                }
            }
        }
    }
    assert!(cloths > 200 && errors > 200, "{cloths} cloths, {errors} errors");
}

#[test]
fn a_list_of_charges_is_each_charge() {
    let electret = Electret { surface_charge: SurfaceCharge::from_uc_per_m2(5.0), ..uncharged() };
    let weave = Weave::from_construction(&WeaveConstruction { electret, ..sheeting() }).expect("fits");
    let (ready, particle) = (ready(&weave, 5.3), particle(&worked_air(), 0.1));
    let together = ready.penetrations(&particle, &[0, 2]);
    assert_eq!(together[0], ready.penetration(&particle, 0));
    assert_eq!(together[1], ready.penetration(&particle, 2));
    let bare = Weave::from_construction(&sheeting()).expect("fits");
    assert!(together[1].value < penetration(&bare, 5.3, 0.1), "charge catches");
}

#[test]
fn hairs_catch_and_wide_particles_stay_out() {
    for um in [0.02, 0.3, 1.0, 3.0] {
        let with = |hairs| penetration(&weave_of(worked_fabric(), hairs), 5.3, um);
        assert!(with(0.0) > with(0.001) && with(0.001) > with(0.003) && with(0.003) > with(0.01), "{um} um");
    }
    let paths = ready(&weave_of(worked_fabric(), 0.0), 5.3).paths(&particle(&worked_air(), 61.0), 0);
    assert!(paths.pores.expect("has pores").penetration.high.abs() < f64::MIN_POSITIVE);
}

#[test]
fn dry_solids_may_bounce_where_liquids_stay() {
    let ready = ready(&weave_of(worked_fabric(), 0.01), 10.0);
    let spread = |um: f64| {
        let past = ready.paths(&particle(&worked_air(), um), 0).pores.expect("has pores").past_hairs;
        (1.0 - past.high) / (1.0 - past.value)
    };
    assert!(spread(0.1) > 0.5 && spread(3.0) < 0.2, "{} and {}", spread(0.1), spread(3.0));
    let mut remarks = Remarks::default();
    ready.check(&particle(&worked_air(), 3.0), 0, &mut remarks);
    assert!(remarks.warnings().iter().any(|w| w.kind == "rebound_in_pores"));
}

#[test]
fn sheeting_is_a_few_per_cent_open_and_gauze_half() {
    let open =
        |warp, weft, tex| cotton(WeaveClass::Woven, warp, weft, tex).geometry().expect("fits").open_area;
    let sheeting = sheeting().geometry().expect("fits");
    // By hand: 1.316e-8 m2 of fibre in a racetrack 3 to 1 of solidity 0.55: 92.7 um by 278 um; gaps 55 and 79 um.
    assert!(
        (sheeting.yarn_height[0].to_um() - 92.7).abs() < 0.1
            && (sheeting.yarn_width[0].to_um() - 278.1).abs() < 0.1
    );
    assert!((sheeting.open_area - 0.0366).abs() < 5e-4, "{sheeting:?}");
    assert!((sheeting.pore_diameter.to_um() - 65.0).abs() < 0.5);
    assert!((sheeting.areal_weight.to_g_per_m2() - 1.05 * 5800.0 * 20e-3).abs() < 1e-9);
    assert!((sheeting.cover() + sheeting.open_area - 1.0).abs() < 1e-15);
    let (denim, gauze) = (open(28.0, 18.0, 84.0), open(12.0, 9.0, 14.0));
    assert!(denim < 0.01 && (0.4..0.6).contains(&gauze), "denim {denim}, gauze {gauze}");
    // Round yarns would make a gauze of the sheet.
    let round = WeaveConstruction { yarn_width: Some(Length::from_um(174.5)), ..self::sheeting() };
    assert!((round.geometry().expect("fits").open_area - 0.24).abs() < 0.01);
}

#[test]
fn the_worn_fibres_are_the_weighed_ones() {
    // Yarn volume over the sheet times its solidity is the areal weight over the fibre density, in every reading.
    let weave = Weave::from_construction(&sheeting()).expect("fits");
    for fabric in [weave.fabric, weave.ends[0], weave.ends[1]] {
        let solid = fabric.yarn_bulk.to_m() * fabric.yarn_solidity.fraction();
        assert!((solid / (0.1218 / 1520.0) - 1.0).abs() < 1e-12, "{fabric:?}");
        assert!(
            (fabric.yarn_path().to_m() * (1.0 - fabric.open_area()) / fabric.yarn_bulk.to_m() - 1.0).abs()
                < 1e-12
        );
    }
}

#[test]
fn a_knit_of_a_weight_has_the_yarn_of_that_weight() {
    let (wales, courses) = (ThreadCount::from_per_cm(14.0), ThreadCount::from_per_cm(18.0));
    let weight = moteweir_units::BasisWeight::from_g_per_m2(148.0);
    let yarn = WeaveClass::Knit.yarn_of_weight(weight, wales, courses);
    // sqrt(21.73 x 252) = 74.0 /cm of yarn, 20 tex.
    assert!((yarn.to_tex() - 20.0).abs() < 0.1, "{yarn:?}");
    let knit = cotton(WeaveClass::Knit, 14.0, 18.0, yarn.to_tex());
    assert!((knit.geometry().expect("fits").areal_weight.to_g_per_m2() - 148.0).abs() < 1e-9);
}

#[test]
fn a_reading_fixes_the_pores_of_every_reading_of_the_cloth() {
    let air = worked_air();
    for construction in [sheeting(), cotton(WeaveClass::Knit, 14.0, 18.0, 20.0)] {
        let reading = FlowReading { pressure_drop: Pressure::from_pa(100.0), face_velocity: cm_per_s(25.0) };
        let weave = Weave::from_construction(&construction).expect("fits");
        let weave = weave.fitted_to_reading(reading, &air).expect("in reach");
        assert_eq!(weave.pores_from, PoresFrom::Reading);
        let dp = ready(&weave, 25.0).pressure_drop();
        for end in [dp.low, dp.value, dp.high] {
            assert!((end / 100.0 - 1.0).abs() < 1e-9, "{dp:?}");
        }
    }
}

#[test]
fn a_reading_below_the_yarns_closes_the_pores() {
    let air = worked_air();
    let reading = FlowReading { pressure_drop: Pressure::from_pa(1000.0), face_velocity: cm_per_s(5.3) };
    let weave = Weave::from_construction(&sheeting()).expect("fits");
    let weave = weave.fitted_to_reading(reading, &air).expect("yarns take it");
    assert_eq!(weave.pores_from, PoresFrom::ClosedByReading);
    let ready = ready(&weave, 5.3);
    assert!((ready.pressure_drop().value / 1000.0 - 1.0).abs() < 1e-9);
    assert!(ready.split().pore_share_of_flow.abs() < f64::MIN_POSITIVE);
    let mut remarks = Remarks::default();
    weave.check(Closure::LeeLiu, &air, cm_per_s(5.3), &mut remarks);
    assert!(remarks.warnings().iter().any(|w| w.kind == "pores_closed"));
}

#[test]
fn the_impossible_is_refused_with_what_to_measure() {
    let refused = |c: WeaveConstruction| c.geometry().expect_err("impossible").to_string();
    let um = Length::from_um;
    assert_eq!(
        refused(WeaveConstruction { yarn_linear_density: LinearDensity::from_tex(200.0), ..sheeting() }),
        "the warp threads do not fit: 30.0 /cm leave 333 um for each, but a yarn of 200.0 tex packed as hard as it goes needs 458 um; count the threads again, weigh a known length of yarn"
    );
    assert_eq!(
        refused(WeaveConstruction { yarn_width: Some(um(600.0)), ..sheeting() }),
        "a yarn width of 600 um does not go with 30.0 warp threads /cm, which are 333 um apart; measure the width of one thread in the cloth under a lens, or leave it out"
    );
    assert_eq!(
        refused(WeaveConstruction { yarn_width: Some(um(250.0)), thickness: Some(um(100.0)), ..sheeting() }),
        "more yarn than the sheet holds: 20.0 tex in a yarn section of 250 by 50 um would be 110 % fibre, and fibres in a yarn go to 80 % at most; measure the thickness as layered, the yarn's width and its linear density again"
    );
    assert_eq!(
        refused(WeaveConstruction { hairs: 0.5, ..sheeting() }),
        "a solidity of 0.5 for the hairs across the pores; nap lies between 0 (none) and 0.3, for most spun yarns between 0.001 and 0.01"
    );
    assert_eq!(
        refused(WeaveConstruction { fibre_diameter: um(100.0), ..sheeting() }),
        "a yarn of 20.00 tex holds only 1.7 fibres of 100.0 um; yarns here are bundles of 5 and more: check the fibre diameter and the linear density (a mesh of single filaments is not covered)"
    );
    assert_eq!(
        refused(WeaveConstruction { warp: ThreadCount::from_per_cm(0.0), ..sheeting() }),
        "the warp count of a woven or knitted layer is 0, but has to be above zero and finite"
    );
    let reading =
        FlowReading { pressure_drop: Pressure::from_pa(1.0), face_velocity: Velocity::from_m_per_s(30.0) };
    let wide = Weave::from_construction(&sheeting()).expect("fits").fitted_to_reading(reading, &worked_air());
    assert_eq!(
        wide.expect_err("too open").to_string(),
        "a flow of 30.0000 m/s at 1.0 Pa is more than this cloth passes with 90 % of it open; check the units of the air permeability and its pressure"
    );
}

/// Pressure drops at 5.3 cm/s of cloths of household (Zhao et al. 2020, Nano Lett. 20:5544, from memory; their counts
/// and yarns are not stated and assumed here). This guards against regressions and validates nothing: knits' aspect,
/// packing and least open area and the largest cover of weaves were changed once after these results for T-shirt,
/// sweater, trousers and a denim were seen. Only the pillow cover, whose number that change did not touch, is a test.
/// The model's value lies within a factor of four, a class's guess; the band between the open and the tight reading
/// holds the measured one. A sateen-like silk of 84 g/m2 read 7.3 Pa and is
/// missed by a factor of 19 with the counts assumed for it: without a measured flow a tight cloth is hardly known.
#[test]
fn household_cloths_by_order_of_magnitude() {
    let air = Air::reference();
    let polyester = Density::from_g_per_cm3(1.38);
    let trousers =
        WeaveConstruction { fibre_density: polyester, ..cotton(WeaveClass::Woven, 55.0, 40.0, 16.5) };
    let silk = WeaveConstruction {
        fibre_density: Density::from_g_per_cm3(1.3),
        hairs: 0.001,
        ..cotton(WeaveClass::Woven, 52.0, 42.0, 8.5)
    };
    let drop = |construction: &WeaveConstruction| {
        let weave = Weave::from_construction(construction).expect("fits");
        weave.prepare(Closure::LeeLiu, &air, cm_per_s(5.3), FlowDirection::Horizontal).pressure_drop()
    };
    for (name, construction, weight, measured) in [
        ("pillow cover", cotton(WeaveClass::Woven, 28.0, 26.0, 20.5), 116.0, 4.5),
        ("T-shirt", cotton(WeaveClass::Knit, 15.0, 19.0, 20.0), 157.0, 14.5),
        ("sweater", cotton(WeaveClass::Knit, 6.0, 10.0, 100.0), 360.0, 17.0),
        ("exercise trousers", trousers, 164.0, 244.0),
    ] {
        let implied = construction.geometry().expect("fits").areal_weight.to_g_per_m2();
        assert!((implied / weight - 1.0).abs() < 0.02, "{name}: {implied} g/m2, weighed {weight}");
        let dp = drop(&construction);
        assert!((0.25..4.0).contains(&(dp.value / measured)), "{name}: {dp:?}, measured {measured}");
        assert!(dp.low <= measured && measured <= dp.high, "{name}: {dp:?}, measured {measured}");
    }
    let missed = drop(&silk).value / 7.3;
    assert!((15.0..25.0).contains(&missed), "the known miss of silk moved: {missed}");
}
