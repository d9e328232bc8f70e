//! One step of the explicit Runge-Kutta method of order 8(5,3) of Dormand and Prince.
#![expect(clippy::excessive_precision, reason = "the constants as they were published")]

/// Position and velocity of a particle in the plane: x, y, then their rates.
pub(super) type State = [f64; 4];

/// A step: where it ends, and its error in units of the tolerance (a step is good at 1 or less).
pub(super) struct Step<const N: usize> {
    pub(super) end: [f64; N],
    pub(super) error: f64,
}

/// Stages 2 to 12 of the method: what of the earlier rates each adds up. The time does not enter: the flow is steady.
///
/// Source: Hairer, Norsett and Wanner (1993), Solving Ordinary Differential Equations I, code DOP853; digits as
/// distributed with `SciPy` 1.17 (`scipy/integrate/_ivp/dop853_coefficients.py`).
const STAGES: [&[(usize, f64)]; 11] = [
    &[(0, 5.26001519587677318785587544488e-2)],
    &[(0, 1.97250569845378994544595329183e-2), (1, 5.91751709536136983633785987549e-2)],
    &[(0, 2.95875854768068491816892993775e-2), (2, 8.87627564304205475450678981324e-2)],
    &[
        (0, 2.41365134159266685502369798665e-1),
        (2, -8.84549479328286085344864962717e-1),
        (3, 9.24834003261792003115737966543e-1),
    ],
    &[
        (0, 3.7037037037037037037037037037e-2),
        (3, 1.70828608729473871279604482173e-1),
        (4, 1.25467687566822425016691814123e-1),
    ],
    &[
        (0, 3.7109375e-2),
        (3, 1.70252211019544039314978060272e-1),
        (4, 6.02165389804559606850219397283e-2),
        (5, -1.7578125e-2),
    ],
    &[
        (0, 3.70920001185047927108779319836e-2),
        (3, 1.70383925712239993810214054705e-1),
        (4, 1.07262030446373284651809199168e-1),
        (5, -1.53194377486244017527936158236e-2),
        (6, 8.27378916381402288758473766002e-3),
    ],
    &[
        (0, 6.24110958716075717114429577812e-1),
        (3, -3.36089262944694129406857109825),
        (4, -8.68219346841726006818189891453e-1),
        (5, 2.75920996994467083049415600797e1),
        (6, 2.01540675504778934086186788979e1),
        (7, -4.34898841810699588477366255144e1),
    ],
    &[
        (0, 4.77662536438264365890433908527e-1),
        (3, -2.48811461997166764192642586468),
        (4, -5.90290826836842996371446475743e-1),
        (5, 2.12300514481811942347288949897e1),
        (6, 1.52792336328824235832596922938e1),
        (7, -3.32882109689848629194453265587e1),
        (8, -2.03312017085086261358222928593e-2),
    ],
    &[
        (0, -9.3714243008598732571704021658e-1),
        (3, 5.18637242884406370830023853209),
        (4, 1.09143734899672957818500254654),
        (5, -8.14978701074692612513997267357),
        (6, -1.85200656599969598641566180701e1),
        (7, 2.27394870993505042818970056734e1),
        (8, 2.49360555267965238987089396762),
        (9, -3.0467644718982195003823669022),
    ],
    &[
        (0, 2.27331014751653820792359768449),
        (3, -1.05344954667372501984066689879e1),
        (4, -2.00087205822486249909675718444),
        (5, -1.79589318631187989172765950534e1),
        (6, 2.79488845294199600508499808837e1),
        (7, -2.85899827713502369474065508674),
        (8, -8.87285693353062954433549289258),
        (9, 1.23605671757943030647266201528e1),
        (10, 6.43392746015763530355970484046e-1),
    ],
];

/// The weights of the solution of order 8.
const SOLUTION: [(usize, f64); 8] = [
    (0, 5.42937341165687622380535766363e-2),
    (5, 4.45031289275240888144113950566),
    (6, 1.89151789931450038304281599044),
    (7, -5.8012039600105847814672114227),
    (8, 3.1116436695781989440891606237e-1),
    (9, -1.52160949662516078556178806805e-1),
    (10, 2.01365400804030348374776537501e-1),
    (11, 4.47106157277725905176885569043e-2),
];

/// The weights of the error estimate of order 5.
const ERROR_FIVE: [(usize, f64); 8] = [
    (0, 0.1312004499419488073250102996e-1),
    (5, -0.1225156446376204440720569753e1),
    (6, -0.4957589496572501915214079952),
    (7, 0.1664377182454986536961530415e1),
    (8, -0.3503288487499736816886487290),
    (9, 0.3341791187130174790297318841),
    (10, 0.8192320648511571246570742613e-1),
    (11, -0.2235530786388629525884427845e-1),
];

/// The weights that, taken off the solution's, give the error estimate of order 3.
const LESS_THREE: [(usize, f64); 3] = [
    (0, -0.244094488188976377952755905512),
    (8, -0.733846688281611857341361741547),
    (11, -0.220588235294117647058823529412e-1),
];

/// Steps from `start`, where the rate is `first`, over the time `length`; `scale` is the tolerated error by component.
pub(super) fn step<const N: usize>(
    rate: impl Fn(&[f64; N]) -> [f64; N],
    start: &[f64; N],
    first: &[f64; N],
    length: f64,
    scale: &[f64; N],
) -> Step<N> {
    let mut rates = [*first; 12];
    for (stage, terms) in STAGES.iter().enumerate() {
        let sum = weigh(&rates, terms);
        rates[stage + 1] = rate(&advance(start, &sum, length));
    }
    let sum = weigh(&rates, &SOLUTION);
    let fifth = weigh(&rates, &ERROR_FIVE);
    let third = weigh(&rates, &LESS_THREE);
    let (mut five, mut three) = (0.0, 0.0);
    for i in 0..N {
        five += (fifth[i] / scale[i]).powi(2);
        three += ((sum[i] + third[i]) / scale[i]).powi(2);
    }
    let denominator = five + 0.01 * three;
    let error = if denominator == 0.0 { 0.0 } else { length * five / (N as f64 * denominator).sqrt() };
    Step { end: advance(start, &sum, length), error }
}

fn weigh<const N: usize>(rates: &[[f64; N]; 12], terms: &[(usize, f64)]) -> [f64; N] {
    let mut sum = [0.0; N];
    for &(stage, weight) in terms {
        for (total, rate) in sum.iter_mut().zip(&rates[stage]) {
            *total += weight * rate;
        }
    }
    sum
}

fn advance<const N: usize>(start: &[f64; N], rate: &[f64; N], length: f64) -> [f64; N] {
    std::array::from_fn(|i| start[i] + length * rate[i])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A harmonic oscillator over one turn in ever smaller steps: the error falls with the eighth power.
    #[test]
    fn the_method_is_of_eighth_order() {
        let rate = |s: &State| [s[2], s[3], -s[0], -s[1]];
        let miss = |steps: usize| {
            let length = std::f64::consts::TAU / steps as f64;
            let mut state = [1.0, 0.0, 0.0, 1.0];
            for _ in 0..steps {
                state = step(rate, &state, &rate(&state), length, &[1.0; 4]).end;
            }
            (state[0] - 1.0).hypot(state[1])
        };
        let order = (miss(8) / miss(16)).log2();
        assert!((7.5..9.5).contains(&order), "order {order} from misses {} and {}", miss(8), miss(16));
    }

    /// The weights of each row sum to the time of its stage, those of the solution to 1, those of an error to 0.
    #[test]
    fn the_weights_are_consistent() {
        let nodes = [
            0.0526001519587677318785587544488,
            0.0789002279381515978178381316732,
            0.118350341907227396726757197510,
            0.281649658092772603273242802490,
            1.0 / 3.0,
            0.25,
            4.0 / 13.0,
            0.651282051282051282051282051282,
            0.6,
            6.0 / 7.0,
            1.0,
        ];
        let total = |terms: &[(usize, f64)]| terms.iter().map(|term| term.1).sum::<f64>();
        for (terms, node) in STAGES.iter().zip(nodes) {
            assert!((total(terms) - node).abs() < 1e-13, "{} for {node}", total(terms));
        }
        assert!((total(&SOLUTION) - 1.0).abs() < 1e-14);
        assert!(total(&ERROR_FIVE).abs() < 1e-14);
        assert!((total(&SOLUTION) + total(&LESS_THREE)).abs() < 1e-14);
    }
}
