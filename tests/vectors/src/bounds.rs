//! Every row of accepted ranges, over accepted and over arbitrary values.

use orangeloom_core::bounds::Bounded;

use crate::lines::{Lines, outcome};

pub(crate) fn cases(lines: &mut Lines<'_>) {
    let rows = || Bounded::ALL.iter().copied().cycle();

    let mut row = rows();
    lines.many("bounds/accepted", |s| {
        row.next()
            .map_or(0, |row| outcome(row.check(s.within(row))))
    });
    let mut row = rows();
    lines.many("bounds/any", |s| {
        row.next().map_or(0, |row| outcome(row.check(s.any())))
    });
}
