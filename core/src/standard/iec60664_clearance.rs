//! Tables F.2 and F.7a of IEC 60664-1: clearance in an inhomogeneous field (case A).
//!
//! Case B (homogeneous field) is left out: it has to be proven by an impulse
//! test, and parts with screws and edges do not have it.

use super::SourceId;
use super::iec60664::PollutionDegree;
use crate::error::Error;
use crate::quantity::{Length, Voltage};

/// One row of Table F.2, case A.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ClearanceRow {
    /// Required impulse withstand voltage 1.2/50, peak, in kV.
    pub impulse_kv: f32,
    /// Clearance in mm for pollution degree 1, 2, 3.
    pub clearance_mm: [f32; 3],
    /// Where the row comes from.
    pub source: SourceId,
}

const fn row(impulse_kv: f32, clearance_mm: [f32; 3], source: SourceId) -> ClearanceRow {
    ClearanceRow {
        impulse_kv,
        clearance_mm,
        source,
    }
}

/// Table F.2, case A, as printed; up to 2000 m above sea level.
pub const TABLE_F2: [ClearanceRow; 26] = {
    use SourceId::{Iec60664Clearance as PART, Iec60664ClearanceSeen as SEEN};
    [
        row(0.33, [0.01, 0.2, 0.8], PART),
        row(0.4, [0.02, 0.2, 0.8], PART),
        row(0.5, [0.04, 0.2, 0.8], PART),
        row(0.6, [0.06, 0.2, 0.8], PART),
        row(0.8, [0.1, 0.2, 0.8], PART),
        row(1.0, [0.15, 0.2, 0.8], PART),
        row(1.2, [0.25, 0.25, 0.8], PART),
        row(1.5, [0.5, 0.5, 0.8], PART),
        row(2.0, [1.0, 1.0, 1.0], PART),
        row(2.5, [1.5, 1.5, 1.5], PART),
        row(3.0, [2.0, 2.0, 2.0], PART),
        row(4.0, [3.0, 3.0, 3.0], SEEN),
        row(5.0, [4.0, 4.0, 4.0], PART),
        row(6.0, [5.5, 5.5, 5.5], PART),
        row(8.0, [8.0, 8.0, 8.0], SEEN),
        row(10.0, [11.0, 11.0, 11.0], PART),
        row(12.0, [14.0, 14.0, 14.0], SEEN),
        row(15.0, [18.0, 18.0, 18.0], PART),
        row(20.0, [25.0, 25.0, 25.0], PART),
        row(25.0, [33.0, 33.0, 33.0], PART),
        row(30.0, [40.0, 40.0, 40.0], PART),
        row(40.0, [60.0, 60.0, 60.0], PART),
        row(50.0, [75.0, 75.0, 75.0], PART),
        row(60.0, [90.0, 90.0, 90.0], PART),
        row(80.0, [130.0, 130.0, 130.0], SEEN),
        row(100.0, [170.0, 170.0, 170.0], SEEN),
    ]
};

/// Smallest clearance in mm in pollution degree 4; otherwise as degree 3.
pub const WET_MINIMUM_MM: f32 = 1.6;

/// Table F.7a, case A: peak voltage in kV and clearance in mm, as remembered.
pub const TABLE_F7A: [(f32, f32); 30] = [
    (0.04, 0.001),
    (0.06, 0.002),
    (0.1, 0.003),
    (0.12, 0.004),
    (0.15, 0.005),
    (0.2, 0.006),
    (0.25, 0.008),
    (0.33, 0.01),
    (0.4, 0.02),
    (0.5, 0.04),
    (0.6, 0.06),
    (0.8, 0.13),
    (1.0, 0.26),
    (1.2, 0.42),
    (1.5, 0.76),
    (2.0, 1.27),
    (2.5, 1.8),
    (3.0, 2.4),
    (4.0, 3.8),
    (5.0, 5.7),
    (6.0, 7.9),
    (8.0, 11.0),
    (10.0, 15.2),
    (12.0, 19.0),
    (15.0, 25.0),
    (20.0, 34.0),
    (25.0, 44.0),
    (30.0, 55.0),
    (40.0, 77.0),
    (50.0, 100.0),
];

/// Clearance that withstands an impulse, up to 2000 m, and the source of the row.
///
/// Below the first row (330 V) the first row holds. Between rows the standard
/// allows interpolation (footnote 2); it is linear. Pollution degree 4 takes the
/// values of degree 3, at least [`WET_MINIMUM_MM`].
///
/// # Errors
/// [`Error::NotInTable`] above 100 kV, value in kV.
pub fn impulse_clearance(
    impulse: Voltage,
    pollution: PollutionDegree,
) -> Result<(Length, SourceId), Error> {
    let kv = impulse.as_volts() / 1000.0;
    let column = |row: &ClearanceRow| {
        let [one, two, three] = row.clearance_mm;
        match pollution {
            PollutionDegree::One => one,
            PollutionDegree::Two => two,
            PollutionDegree::Three | PollutionDegree::Four => three,
        }
    };
    let mut lower = TABLE_F2.first();
    for upper in &TABLE_F2 {
        if kv <= upper.impulse_kv {
            let below = lower.unwrap_or(upper);
            let mm = between(
                kv,
                (below.impulse_kv, column(below)),
                (upper.impulse_kv, column(upper)),
            );
            // The lower row plays no part where the voltage is a row of its own.
            let source = if kv < upper.impulse_kv && below.source == SourceId::Iec60664Clearance {
                below.source
            } else {
                upper.source
            };
            return if pollution == PollutionDegree::Four && mm < WET_MINIMUM_MM {
                Ok((
                    Length::from_mm(WET_MINIMUM_MM)?,
                    SourceId::Iec60664ClearanceWet,
                ))
            } else {
                Ok((Length::from_mm(mm)?, source))
            };
        }
        lower = Some(upper);
    }
    Err(Error::NotInTable {
        table: SourceId::Iec60664Clearance,
        value: kv,
    })
}

/// Clearance that withstands a steady, recurring or temporary peak voltage, up to
/// 2000 m.
///
/// Below the first row (40 V) the first row holds; between rows it is linear.
/// Pollution sets no minimum here; the clearance for the impulse does.
///
/// # Errors
/// [`Error::NotInTable`] above 50 kV, value in kV.
pub fn peak_clearance(peak: Voltage) -> Result<Length, Error> {
    let kv = peak.as_volts() / 1000.0;
    let mut lower = TABLE_F7A.first();
    for upper in &TABLE_F7A {
        if kv <= upper.0 {
            return Length::from_mm(between(kv, *lower.unwrap_or(upper), *upper));
        }
        lower = Some(upper);
    }
    Err(Error::NotInTable {
        table: SourceId::Iec60664PeakClearance,
        value: kv,
    })
}

/// The straight line between two points; their own values at and outside them.
pub(super) fn between(x: f32, lower: (f32, f32), upper: (f32, f32)) -> f32 {
    if x >= upper.0 {
        upper.1
    } else if x <= lower.0 {
        lower.1
    } else {
        lower.1 + (upper.1 - lower.1) * ((x - lower.0) / (upper.0 - lower.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn volts(volts: f32) -> Voltage {
        Voltage::from_volts(volts).unwrap()
    }

    #[test]
    fn below_the_first_row_the_first_row_holds() {
        let (length, _) = impulse_clearance(volts(10.0), PollutionDegree::Two).unwrap();
        assert!((length.as_mm() - 0.2).abs() < 1e-6);
        assert!((peak_clearance(volts(10.0)).unwrap().as_mm() - 0.001).abs() < 1e-7);
    }

    #[test]
    fn halfway_between_two_rows_is_halfway_between_their_values() {
        let (length, source) = impulse_clearance(volts(7000.0), PollutionDegree::Two).unwrap();
        assert!((length.as_mm() - 6.75).abs() < 1e-5);
        // 6 kV is not a row that was read, so the mixture is not either.
        assert_eq!(source, SourceId::Iec60664Clearance);
    }

    #[test]
    fn wet_dirt_raises_the_minimum_only() {
        let wet = |v| impulse_clearance(volts(v), PollutionDegree::Four).unwrap();
        assert!((wet(500.0).0.as_mm() - 1.6).abs() < 1e-6);
        assert_eq!(wet(500.0).1, SourceId::Iec60664ClearanceWet);
        assert!((wet(4000.0).0.as_mm() - 3.0).abs() < 1e-6);
    }

    #[test]
    fn beyond_the_last_row_nothing_is_given() {
        assert!(impulse_clearance(volts(1.0e5), PollutionDegree::One).is_ok());
        assert!(peak_clearance(volts(50_000.0)).is_ok());
        assert!(matches!(
            peak_clearance(volts(50_001.0)),
            Err(Error::NotInTable { .. })
        ));
    }
}
