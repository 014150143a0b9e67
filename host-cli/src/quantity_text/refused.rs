//! Spellings that are understood and still not accepted, each with its reason.
//!
//! Either the spelling has two meanings that differ enough to hurt, or it names
//! something else than the builder means.

use super::kind::Kind;

/// Why a spelling is refused, and the unit to write instead if there is only one.
pub(crate) struct Refused {
    pub(crate) reason: &'static str,
    pub(crate) instead: Option<&'static str>,
}

struct Row(
    &'static [Kind],
    &'static [&'static str],
    &'static str,
    Option<&'static str>,
);

use Kind::{
    Area, CurrentSquaredTime, Length, LinearResistance, Power, Resistance, Section, Temperature,
    TemperatureDifference, Voltage,
};

const ROWS: &[Row] = &[
    Row(
        &[Section, Area],
        &["sqmm", "sq mm", "sq. mm", "qmm", "mmq", "square mm"],
        "square millimetres are written mm2",
        Some("mm2"),
    ),
    Row(
        &[Section],
        &["mm"],
        "mm is a length; a conductor section is an area (a diameter or a thickness is not a section)",
        Some("mm2"),
    ),
    Row(
        &[Section],
        &["cm2", "m2", "in2", "cmil"],
        "a conductor section is written in mm2, AWG or kcmil",
        None,
    ),
    Row(
        &[Section, Area],
        &["ga", "ga.", "gauge", "g", "#"],
        "there is more than one wire gauge; only the American one (AWG) is read",
        Some("AWG"),
    ),
    Row(
        &[Section, Area],
        &["swg", "bwg"],
        "this gauge is not read, write the area in mm2",
        None,
    ),
    Row(
        &[TemperatureDifference],
        &["degc", "c", "deg c", "celsius"],
        "a difference is written in K: one degC of difference is 1 K",
        Some("K"),
    ),
    Row(
        &[TemperatureDifference],
        &["degf", "f", "deg f", "fahrenheit", "r", "degr", "deg r"],
        "a difference is written in K: one degF of difference is 0.5556 K",
        None,
    ),
    Row(
        &[Temperature],
        &["deg", "degree", "degrees", "degs"],
        "degrees of which scale? write degC or degF",
        None,
    ),
    Row(
        &[Temperature],
        &["r", "degr", "deg r"],
        "the Rankine scale is not read, write degC, degF or K",
        None,
    ),
    Row(
        &[Power],
        &["hp", "bhp", "ps", "horsepower"],
        "there is more than one horsepower (0.7355 or 0.7457 kW), write kW",
        None,
    ),
    Row(
        &[CurrentSquaredTime],
        &["ka2s", "ka2 s"],
        "datasheets print kA2s for 1e3 A2s and for 1e6 A2s; look which one it is and write k(A2s) or (kA)2s",
        None,
    ),
    Row(&[Resistance], &["k"], "k is only a prefix", Some("kohm")),
    Row(&[Resistance], &["r"], "ohms are written ohm", Some("ohm")),
    Row(
        &[LinearResistance],
        &["ohm/mft", "ohm/m ft"],
        "M in Mft can be a thousand or a million, write ohm/kft",
        None,
    ),
    Row(
        &[Voltage],
        &["vac", "v ac", "vrms", "v rms", "vpk", "vp", "v peak"],
        "write the value that is asked for in V, without AC, r.m.s. or peak",
        None,
    ),
    Row(
        &[Length],
        &["\"\"", "m m", "mtr", "mtrs"],
        "this way of writing a length has no clear meaning",
        None,
    ),
];

/// The row for a normalised spelling, if it has one; case does not matter.
pub(crate) fn refused(kind: Kind, spelling: &str) -> Option<Refused> {
    ROWS.iter()
        .find(|row| {
            row.0.contains(&kind)
                && row
                    .1
                    .iter()
                    .any(|known| known.eq_ignore_ascii_case(spelling))
        })
        .map(|row| Refused {
            reason: row.2,
            instead: row.3,
        })
}

#[cfg(test)]
mod tests {
    use super::super::spelling::{Found, find};
    use super::*;

    #[test]
    fn nothing_that_is_accepted_is_also_refused() {
        for row in ROWS {
            for &kind in row.0 {
                for spelling in row.1 {
                    assert!(
                        !matches!(find(kind, spelling), Found::Unit(_)),
                        "{kind:?} {spelling}"
                    );
                }
            }
        }
    }

    #[test]
    fn what_is_offered_instead_is_accepted() {
        for row in ROWS {
            for &kind in row.0 {
                if let Some(instead) = row.3 {
                    assert!(
                        instead == "AWG" || matches!(find(kind, instead), Found::Unit(_)),
                        "{kind:?} {instead}"
                    );
                }
            }
        }
    }
}
