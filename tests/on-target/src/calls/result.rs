//! Bounds, errors, sources and verdicts.

use orangeloom_core::bounds::Bounded;
use orangeloom_core::error::Error;
use orangeloom_core::standard::{Evidence, SourceId};
use orangeloom_core::verdict::{Judged, Side, Verdict};

use super::Visit;

/// Calls of `bounds`, `error`, `standard` and `verdict`.
pub fn all(visit: &mut impl Visit) {
    visit.call("bounds/check", (Bounded::Voltage, 400.0), |(row, value)| {
        row.check(*value)
    });
    visit.brief(Bounded::Voltage, |row| (row.min(), row.max()));

    visit.brief(
        Error::OutOfRange {
            what: Bounded::Time,
            value: -1.0,
        },
        |error| error.code(),
    );
    visit.brief(SourceId::CommonPractice, |source| source.source());
    visit.brief(Evidence::Seen, |evidence| evidence.words());

    visit.brief((Verdict::Holds, Verdict::Open), |(one, other)| {
        one.worse(*other).word()
    });
    visit.call(
        "verdict/compare",
        (90.0_f32, 105.0_f32),
        |(value, limit)| {
            Judged::compare((), *value, Side::AtMost, *limit, SourceId::CommonPractice)
        },
    );
    visit.brief((90.0_f32, 105.0_f32), |(value, limit)| {
        Judged::below((), *value, *limit, SourceId::CommonPractice)
    });
    visit.brief((Some(90.0_f32), None), |(value, limit)| {
        Judged::open((), *value, Side::AtLeast, *limit, SourceId::CommonPractice).margin()
    });
    visit.brief(Some(90.0_f32), |limit| {
        Judged::failed_without_value((), Side::AtMost, *limit, SourceId::CommonPractice)
    });
}
