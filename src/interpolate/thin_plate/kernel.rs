//! `r² ln r²`, twice the function that a thin plate bends by under a point load.

use geo::Coord;

/// The sum of `bend * r² ln r²` over all wells.
pub(super) fn bending(places: &[Coord], bends: &[f64], at: Coord) -> f64 {
    places.iter().zip(bends).map(|(p, b)| b * kernel(*p - at)).sum()
}

/// `r² ln r²`, 0 at 0.
pub(super) fn kernel(d: Coord) -> f64 {
    let square = d.x * d.x + d.y * d.y;
    square * ln(square)
}

/// The natural logarithm of a number above 1e-290; finite at 0.
///
/// Without branch, table or call, so that a loop over it runs in vector registers; within two
/// units in the last place of the true value or 2e-16.
#[inline]
pub(super) fn ln(x: f64) -> f64 {
    // 2 / (2 i + 1), divided by the compiler.
    const C: [f64; 11] = {
        let mut c = [0.0; 11];
        let mut i = 0;
        while i < 11 {
            c[i] = 2.0 / (2 * i + 1) as f64;
            i += 1;
        }
        c
    };
    // x = m 2^e with m in [sqrt(1/2), sqrt(2)): the bits of sqrt(1/2) split there.
    const SPLIT: u64 = 0x3fe6_a09e_667f_3bcd;
    const EXPONENT: u64 = 0xfff0_0000_0000_0000;
    // 2^52 + 2^51: adding it turns a small whole number in a double's low bits into its value.
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    let bits = (x + f64::MIN_POSITIVE).to_bits();
    let above = bits.wrapping_sub(SPLIT);
    let m = f64::from_bits(bits.wrapping_sub(above & EXPONENT));
    // The exponent, made positive to be shifted as an unsigned number.
    let e = (above.wrapping_add(1023 << 52) >> 52) | 0x4338_0000_0000_0000;
    let e = f64::from_bits(e) - SHIFT - 1023.0;
    // ln m = 2 artanh(s), s = (m - 1) / (m + 1), |s| < 0.172: the series to s^21.
    let s = (m - 1.0) / (m + 1.0);
    let z = s * s;
    let series = C[8] + z * (C[9] + z * C[10]);
    let series = C[5] + z * (C[6] + z * (C[7] + z * series));
    let series = C[2] + z * (C[3] + z * (C[4] + z * series));
    let series = z * (C[1] + z * series);
    // ln 2 in two parts, the first with zeros in its last places, so that e times it is exact.
    e * 6.931_471_803_691_238e-1 + (e * 1.908_214_929_270_587_7e-10 + (s * series + 2.0 * s))
}
