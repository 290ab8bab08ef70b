//! One fixed rule of integration, so that every run adds the same numbers in the same order.

/// Positive abscissae and weights of the 20-point Gauss-Legendre rule on -1 to 1.
///
/// Values of `numpy.polynomial.legendre.leggauss(20)`.
const HALF: [[f64; 2]; 10] = [
    [0.076_526_521_133_497_34, 0.152_753_387_130_726_28],
    [0.227_785_851_141_645_07, 0.149_172_986_472_604_24],
    [0.373_706_088_715_419_55, 0.142_096_109_318_382_4],
    [0.510_867_001_950_827_1, 0.131_688_638_449_176_9],
    [0.636_053_680_726_515, 0.118_194_531_961_518_5],
    [0.746_331_906_460_150_8, 0.101_930_119_817_240_7],
    [0.839_116_971_822_218_8, 0.083_276_741_576_704_71],
    [0.912_234_428_251_326, 0.062_672_048_334_108_79],
    [0.963_971_927_277_913_8, 0.040_601_429_800_386_446],
    [0.993_128_599_185_095, 0.017_614_007_139_150_893],
];

/// The integral of `f` from `from` to `to`, in one part or in two equal ones.
pub(super) fn integral(from: f64, to: f64, split: bool, f: impl Fn(f64) -> f64) -> f64 {
    let part = |from, to| nodes(from, to).map(|[x, w]| w * f(x)).sum::<f64>();
    if split {
        let middle = f64::midpoint(from, to);
        part(from, middle) + part(middle, to)
    } else {
        part(from, to)
    }
}

/// The rule's places and weights between two bounds.
pub(super) fn nodes(from: f64, to: f64) -> impl Iterator<Item = [f64; 2]> {
    let (middle, half) = (f64::midpoint(from, to), (to - from) / 2.0);
    HALF.iter()
        .flat_map(move |[x, w]| [[middle - half * x, half * w], [middle + half * x, half * w]])
}
