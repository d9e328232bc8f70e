use super::*;

fn groups(texts: ResolveOptions<'_>) -> CellQuestion {
    texts.question().unwrap()
}

fn solved(options: ResolveOptions<'_>, method: Option<Method>) -> ResolvedReport {
    resolve(&groups(options), method, Effort { seed: 1, histories: 2000 }).unwrap()
}

const GROUPS: ResolveOptions<'_> = ResolveOptions {
    solidity: 0.05,
    fibre_diameter: None,
    particle_diameter: None,
    face_velocity: None,
    particle_density: None,
    temperature: None,
    interception: Some(0.1),
    stokes: None,
    peclet: None,
    fibre_knudsen: None,
};

/// Without inertia and diffusion both solvers give the exact interception, 0.011145 (worked from the stream function).
#[test]
fn without_inertia_and_diffusion_it_is_exact_interception() {
    for method in [None, Some(Method::Trajectories)] {
        let report = solved(GROUPS, method);
        assert!((report.single_fibre_efficiency - 0.011145).abs() < 1e-6, "{report:?}");
        assert!(report.closed_forms.iter().any(|f| f.is_the_whole && f.in_range), "{report:?}");
    }
}

#[test]
fn the_method_follows_what_is_asked() {
    let heavy = ResolveOptions { stokes: Some(0.5), ..GROUPS };
    let small = ResolveOptions { peclet: Some(1e4), ..GROUPS };
    let both = ResolveOptions { peclet: Some(1e3), ..heavy };
    for (options, method) in [(GROUPS, "cell"), (heavy, "trajectories"), (small, "cell"), (both, "langevin")]
    {
        assert_eq!(solved(options, None).method, method);
    }
    // What is left out is said.
    assert!(solved(both, Some(Method::Cell)).notes[0].starts_with("inertia is left out"));
    assert!(solved(both, Some(Method::Trajectories)).notes[0].starts_with("diffusion is left out"));
    let random = solved(both, None);
    assert!(random.standard_error.is_some() && random.low < random.high, "{random:?}");
    assert!((random.single_fibre_efficiency - 0.154).abs() < 0.02, "{random:?}");
}

/// 2 um fibre, 1 um particle, 10 cm/s: the groups are those of the closures.
#[test]
fn sizes_become_groups() {
    let sizes = ResolveOptions {
        interception: None,
        fibre_diameter: Some("2 um"),
        particle_diameter: Some("1 um"),
        face_velocity: Some("10 cm/s"),
        ..GROUPS
    };
    let question = groups(sizes);
    let g = question.groups();
    assert!((g.interception() - 0.5).abs() < 1e-12);
    assert!((g.fibre_knudsen() - 0.0673).abs() < 1e-4, "{g:?}");
    // tau = 1000 1e-12 Cc/(18 mu), Cc about 1.16
    assert!((g.stokes().unwrap() - 0.176).abs() < 2e-3, "{g:?}");
    assert!((g.fibre_reynolds().unwrap() - 0.013).abs() < 1e-3, "{g:?}");
}

#[test]
fn everything_wrong_is_said_at_once() {
    let wrong = ResolveOptions {
        solidity: 1.5,
        fibre_diameter: Some("2 g"),
        stokes: Some(0.1),
        ..ResolveOptions::default()
    };
    let ResolveFault::Options(faults) = wrong.question().unwrap_err() else {
        unreachable!("options are at fault");
    };
    let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(said[0], "--solidity: 1.5 is not from 0.0001 to 0.7");
    assert!(said.iter().any(|s| s.starts_with("--fibre-diameter: `g` is a mass")), "{said:?}");
    assert!(said.iter().any(|s| s.starts_with("--particle-diameter: missing")), "{said:?}");
    assert!(
        said.iter().any(|s| s == "--stokes: a group, while sizes are given too; ask in one way"),
        "{said:?}"
    );
    let nothing = ResolveOptions { solidity: 0.05, ..ResolveOptions::default() };
    assert!(nothing.question().unwrap_err().to_string().contains("meets nothing"));
}

#[test]
fn a_picture_has_what_was_asked() {
    let asked = groups(ResolveOptions { stokes: Some(0.5), peclet: Some(1e3), ..GROUPS });
    let picture = picture(&asked).unwrap();
    assert!(!picture.caught.is_empty() && !picture.passing.is_empty());
    let field = picture.concentration.unwrap();
    assert_eq!(field.values.len(), field.radii.len() * field.bearings.len());
    for line in &picture.streamlines {
        let [first, last] = [line[0], line[line.len() - 1]];
        assert!((first[0] + last[0]).abs() < 1e-9 && (first[1] - last[1]).abs() < 1e-9);
        assert!(line.iter().all(|[x, y]| x.hypot(*y) >= 1.0 - 1e-9));
    }
}

#[test]
fn a_particle_that_fills_the_cell_is_sieved_and_said_so() {
    let report = solved(ResolveOptions { interception: Some(5.0), peclet: Some(1e6), ..GROUPS }, None);
    assert!((report.single_fibre_efficiency - 6.0).abs() < 1e-12);
    assert!(report.notes[0].contains("sieved"), "{report:?}");
}

/// The atlas is what the solvers found: within its own miss of fresh solutions, and its band holds the random histories.
#[test]
fn the_atlas_agrees_with_the_solvers() {
    let small = ResolveOptions { peclet: Some(1e4), ..GROUPS };
    let heavy = ResolveOptions { stokes: Some(0.5), ..GROUPS };
    for options in [GROUPS, small, heavy] {
        let (fresh, read) = (solved(options, None), solved(options, Some(Method::Atlas)));
        let miss = read.single_fibre_efficiency / fresh.single_fibre_efficiency - 1.0;
        assert!(miss.abs() < 5e-3, "{miss}: {read:?}");
    }
    let both = ResolveOptions { peclet: Some(1e3), stokes: Some(0.05), ..GROUPS };
    let (random, read) = (solved(both, None), solved(both, Some(Method::Atlas)));
    let error = random.standard_error.unwrap();
    let e = random.single_fibre_efficiency;
    assert!(read.low - 3.0 * error < e && e < read.high + 3.0 * error, "{read:?}, {random:?}");
}
