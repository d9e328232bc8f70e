fn main() {
    use moteweir_physics::cell::KuwabaraCell;
    use moteweir_sim::drift::Drift;
    use moteweir_sim::trajectory::*;
    use moteweir_units::Solidity;
    let cell = |a: f64| KuwabaraCell::new(Solidity::new(a).unwrap(), 0.0);
    let t = std::time::Instant::now();
    for n in [1e-3, 1e-2, 3e-2, 0.1, 0.3, 1., 3., 10.] {
        let p = electret_efficiency(cell(0.05), 0.0, Drift { dipole_polarisation: n, ..Drift::NONE }, 1e-8)
            .unwrap();
        let c =
            electret_efficiency(cell(0.05), 0.0, Drift { dipole_charge: n, ..Drift::NONE }, 1e-8).unwrap();
        let l = electret_efficiency(cell(0.05), 0.0, Drift { line_charge: n, ..Drift::NONE }, 1e-8).unwrap();
        let q = electret_efficiency(cell(0.05), 0.0, Drift { line_polarisation: n, ..Drift::NONE }, 1e-8)
            .unwrap();
        println!("{n} {p:.5} {c:.5} line {:.6} {q:.5}", l / n / std::f64::consts::PI);
    }
    println!("{:?}", t.elapsed());
    for a in [0.02, 0.2] {
        println!(
            "{a} {:.4} {:.4}",
            electret_efficiency(cell(a), 0.0, Drift { dipole_polarisation: 0.1, ..Drift::NONE }, 1e-8)
                .unwrap(),
            electret_efficiency(cell(a), 0.0, Drift { dipole_charge: 1., ..Drift::NONE }, 1e-8).unwrap()
        );
    }
    println!(
        "joint {:.5} {:.5}",
        electret_efficiency(cell(0.05), 0.3, Drift { dipole_polarisation: 0.1, ..Drift::NONE }, 1e-8)
            .unwrap(),
        electret_efficiency(
            cell(0.05),
            0.0,
            Drift { dipole_polarisation: 0.3, dipole_charge: 0.3, ..Drift::NONE },
            1e-8
        )
        .unwrap()
    );
    for n in [1e-6, 1e-5, 1e-4, 1e-3, 1e-2] {
        let c = cell(0.05);
        let k = 0.95 / c.kuwabara_factor();
        println!(
            "image {n} {:.5}",
            electret_efficiency(c, 0.0, Drift { image: n, ..Drift::NONE }, 1e-8).unwrap()
                / (2.0 * (k * n).sqrt())
        );
    }
}
