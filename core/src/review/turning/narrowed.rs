//! Narrowing down where a verdict turns. On the host only.

#![cfg(feature = "text")]

/// The distance of the two ends, as a logarithm, at which they count as one.
const CLOSE: f32 = 1.0e-6;

/// Most values that are asked: of three one halves the distance at least, and 23 halvings
/// of a factor of 2000 come to a part in a million.
const MOST: u8 = 72;

/// A value, and how far off its limit the verdict is there: the logarithm of value over
/// limit; `None` where that is no number.
#[derive(Clone, Copy)]
pub(super) struct End {
    pub(super) value: f32,
    pub(super) off: Option<f32>,
}

/// Finds the value nearest to the end that does not hold that still holds, to a part in a
/// million: by where a straight line between the two ends, in logarithms, crosses the
/// limit, an end that stays counted as half as far off; by halves after two steps that do
/// not take half of the distance away.
///
/// Both ends positive. `ask` tells whether a value holds, and how far off it is.
pub(super) fn narrowed(
    mut good: End,
    mut bad: End,
    mut ask: impl FnMut(f32) -> (bool, Option<f32>),
) -> f32 {
    let (mut slow, mut before) = (0, None);
    for _ in 0..MOST {
        let width = libm::logf(bad.value / good.value);
        if width.is_nan() || libm::fabsf(width) <= CLOSE {
            break;
        }
        let crosses = match (good.off, bad.off) {
            (Some(good), Some(bad)) if slow < 2 && good * bad <= 0.0 => good / (good - bad),
            _ => 0.5,
        };
        // Never onto an end, and beyond what counts as one with it.
        let least = libm::fminf(0.6 * CLOSE / libm::fabsf(width), 0.5);
        // No number where both are on the limit: then it is the nearest to one end.
        let share = libm::fminf(libm::fmaxf(crosses, least), 1.0 - least);
        let middle = good.value * libm::expf(share * width);
        let (holds, off) = ask(middle);
        let (moved, stays) = if holds {
            (&mut good, &mut bad)
        } else {
            (&mut bad, &mut good)
        };
        *moved = End { value: middle, off };
        if before == Some(holds) {
            stays.off = stays.off.map(|off| 0.5 * off);
        }
        before = Some(holds);
        let left = libm::logf(bad.value / good.value);
        let halved = libm::fabsf(left) <= 0.5 * libm::fabsf(width);
        slow = if halved || slow == 2 { 0 } else { slow + 1 };
    }
    good.value
}

#[cfg(test)]
mod tests {
    use super::*;

    fn end(value: f32, off: Option<f32>) -> End {
        End { value, off }
    }

    fn close(found: f32, at: f32) {
        // Logarithm and exponential function of the ratio round as well.
        assert!((found / at - 1.0).abs() < 2.0e-6, "{found} {at}");
    }

    #[test]
    fn what_only_holds_or_does_not_is_halved() {
        for at in [3.0e-3, 1.0, 17.3, 1999.0] {
            let mut asked = 0;
            let found = narrowed(end(2.0e3, None), end(1.0e-3, None), |value| {
                asked += 1;
                (value >= at, None)
            });
            close(found, at);
            assert!(found >= at && asked <= 26, "{asked}");
        }
    }

    #[test]
    fn a_power_is_found_in_few_tries_from_either_side() {
        for (power, at) in [(2.0, 1.7), (-1.0, 40.0), (0.3, 900.0)] {
            let off = |value: f32| Some(power * libm::logf(value / at));
            let (low, high) = (end(0.5, off(0.5)), end(1000.0, off(1000.0)));
            for (good, bad) in [(low, high), (high, low)] {
                let mut asked = 0;
                let found = narrowed(good, bad, |value| {
                    asked += 1;
                    ((value < at) == (good.value < at), off(value))
                });
                close(found, at);
                assert!(asked <= 6, "{asked}");
            }
        }
    }

    #[test]
    fn a_jump_that_misleads_is_found_all_the_same() {
        let off = |value: f32| Some(if value < 7.0 { 1.0e-4 } else { -9.0 });
        let (good, bad) = (end(900.0, off(900.0)), end(1.0, off(1.0)));
        let found = narrowed(good, bad, |value| (value >= 7.0, off(value)));
        close(found, 7.0);
        assert!(found >= 7.0);
    }
}
