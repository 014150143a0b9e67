//! The functions of `libm` that the core computes with, over the range that the
//! core uses and over every bit pattern.

use core::hint::black_box;

use crate::lines::{Lines, bits};

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.many("maths/expf", |s| bits(libm::expf(s.between(-80.0, 80.0))));
    lines.many("maths/expf_any", |s| bits(libm::expf(s.any())));
    lines.many("maths/exp10f", |s| {
        bits(libm::exp10f(s.between(-30.0, 30.0)))
    });
    lines.many("maths/exp10f_any", |s| bits(libm::exp10f(s.any())));
    lines.many("maths/logf", |s| bits(libm::logf(s.between(0.0, 1.0e6))));
    lines.many("maths/logf_any", |s| bits(libm::logf(s.any())));
    lines.many("maths/powf", |s| {
        bits(libm::powf(s.between(0.0, 1.0e4), s.between(-3.0, 3.0)))
    });
    lines.many("maths/powf_any", |s| bits(libm::powf(s.any(), s.any())));
    lines.many("maths/sqrtf", |s| bits(libm::sqrtf(s.between(0.0, 1.0e9))));
    lines.many("maths/sqrtf_any", |s| bits(libm::sqrtf(s.any())));
    lines.many("maths/cbrtf", |s| bits(libm::cbrtf(s.between(-1e6, 1e6))));
    lines.many("maths/cbrtf_any", |s| bits(libm::cbrtf(s.any())));
    lines.many("maths/tanhf", |s| bits(libm::tanhf(s.between(-9.0, 9.0))));
    lines.many("maths/tanhf_any", |s| bits(libm::tanhf(s.any())));
    lines.number("maths/expf_of_one", libm::expf(black_box(1.0)));
    // No library, but the place where a compiler could fuse two roundings into one.
    lines.many("maths/multiply_add_f32", |s| {
        let (a, b) = (s.between(-10.0, 10.0), s.between(-10.0, 10.0));
        bits(a * b + s.between(-100.0, 100.0))
    });
    #[allow(clippy::cast_possible_truncation)]
    lines.many("maths/multiply_add_f64", |s| {
        let (a, b) = (s.between(-10.0, 10.0), s.between(-10.0, 10.0));
        let sum = f64::from(a) * f64::from(b) / 3.0 + f64::from(s.between(-100.0, 100.0));
        let all = sum.to_bits();
        (all >> 32) as u32 ^ all as u32
    });
}
