//! Table A.2 of IEC 60664-1: how much a clearance grows above 2000 m.

use super::SourceId;
use crate::error::Error;
use crate::quantity::{Altitude, Pressure};

/// One row of Table A.2.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct AltitudeRow {
    /// Altitude in m.
    pub altitude_m: f32,
    /// Normal barometric pressure in kPa.
    pub pressure_kpa: f32,
    /// Multiplication factor for clearances.
    pub factor: f32,
}

const fn row(altitude_m: f32, pressure_kpa: f32, factor: f32) -> AltitudeRow {
    AltitudeRow {
        altitude_m,
        pressure_kpa,
        factor,
    }
}

/// Table A.2 as printed.
///
/// The table goes to 20 km; the type [`Altitude`] of this crate ends at 11 km,
/// where its model of the atmosphere ends, so the last row serves only as the
/// upper end of an interpolation.
pub const TABLE_A2: [AltitudeRow; 11] = [
    row(2000.0, 80.0, 1.0),
    row(3000.0, 70.0, 1.14),
    row(4000.0, 62.0, 1.29),
    row(5000.0, 54.0, 1.48),
    row(6000.0, 47.0, 1.7),
    row(7000.0, 41.0, 1.95),
    row(8000.0, 35.5, 2.25),
    row(9000.0, 30.5, 2.62),
    row(10000.0, 26.5, 3.02),
    row(15000.0, 12.0, 6.67),
    row(20000.0, 5.5, 14.5),
];

/// What the altitude does to a clearance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct AltitudeCorrection {
    /// Normal pressure that the factor belongs to; 80 kPa up to 2000 m.
    pub pressure: Pressure,
    /// What the clearance is multiplied with; 1 up to 2000 m, never below.
    pub factor: f32,
}

impl AltitudeCorrection {
    /// Where the correction comes from.
    pub const SOURCE: SourceId = SourceId::Iec60664Altitude;
}

/// The factor on clearances at an altitude.
///
/// At a row it is the printed factor. Between rows the logarithm of the printed
/// pressure is interpolated over the altitude, and the factor over the
/// reciprocal of that pressure, because a clearance grows as the air gets
/// thinner. Chosen by this project. It lies at most 0.5 % below a straight line
/// over the altitude up to 10 km (7 % at 11 km, where the rows are 5 km apart)
/// and nowhere below the ratio of the pressures of the standard atmosphere.
///
/// # Errors
/// [`Error::NotInTable`] above 20 km, which [`Altitude`] refuses before.
pub fn altitude_correction(altitude: Altitude) -> Result<AltitudeCorrection, Error> {
    let z = altitude.as_metres();
    let mut lower = row(2000.0, 80.0, 1.0);
    if z <= lower.altitude_m {
        return correction(lower.pressure_kpa, lower.factor);
    }
    for upper in &TABLE_A2 {
        if z <= upper.altitude_m {
            if z >= upper.altitude_m {
                return correction(upper.pressure_kpa, upper.factor);
            }
            let share = (z - lower.altitude_m) / (upper.altitude_m - lower.altitude_m);
            let kpa =
                lower.pressure_kpa * libm::powf(upper.pressure_kpa / lower.pressure_kpa, share);
            let thinner = (1.0 / kpa - 1.0 / lower.pressure_kpa)
                / (1.0 / upper.pressure_kpa - 1.0 / lower.pressure_kpa);
            return correction(kpa, lower.factor + (upper.factor - lower.factor) * thinner);
        }
        lower = *upper;
    }
    Err(Error::NotInTable {
        table: AltitudeCorrection::SOURCE,
        value: z,
    })
}

fn correction(kpa: f32, factor: f32) -> Result<AltitudeCorrection, Error> {
    Ok(AltitudeCorrection {
        pressure: Pressure::from_pascals(kpa * 1000.0)?,
        factor,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn factor(metres: f32) -> f32 {
        altitude_correction(Altitude::from_metres(metres).unwrap())
            .unwrap()
            .factor
    }

    #[test]
    fn up_to_2000_m_nothing_is_added() {
        for metres in [-500.0, 0.0, 1000.0, 2000.0] {
            assert_eq!(factor(metres).to_bits(), 1.0_f32.to_bits());
        }
    }

    #[test]
    fn the_printed_factor_follows_the_printed_pressure() {
        // Tolerance: half of the last printed digit of the factor.
        for row in TABLE_A2 {
            let by_pressure = 80.0 / row.pressure_kpa;
            assert!(
                (by_pressure - row.factor).abs() < 0.051
                    && (by_pressure / row.factor - 1.0).abs() < 0.0035,
                "{row:?}"
            );
        }
    }

    #[test]
    fn the_factor_covers_the_ratio_of_the_pressures_of_the_standard_atmosphere() {
        // ISA, troposphere: p / p0 = (1 - 2.25577e-5 z)^5.25588.
        let pressure = |z: f32| (1.0 - 2.25577e-5 * z).powf(5.25588);
        for step in 0..=900_u16 {
            let z = 2000.0 + 10.0 * f32::from(step);
            assert!(factor(z) >= pressure(2000.0) / pressure(z) - 1e-5, "{z}");
        }
    }

    #[test]
    fn the_factor_is_close_to_a_straight_line_between_the_rows() {
        for pair in TABLE_A2.windows(2).take(8) {
            let (a, b) = (pair[0], pair[1]);
            for tenth in 0..=10_u8 {
                let share = f32::from(tenth) / 10.0;
                let line = a.factor + (b.factor - a.factor) * share;
                let found = factor(a.altitude_m + (b.altitude_m - a.altitude_m) * share);
                assert!(
                    found <= line * (1.0 + 1e-6) && found > line * 0.995,
                    "{a:?} {tenth}"
                );
            }
        }
        // 3.02 + (6.67 - 3.02) / 5 = 3.75 at 11 km.
        assert!(factor(11_000.0) > 3.75 * 0.93);
    }

    #[test]
    fn the_factor_never_falls_and_never_jumps() {
        let mut last = factor(2000.0);
        for step in 1..=9000_u16 {
            let next = factor(2000.0 + f32::from(step));
            // Steepest slope of the table: 3.65 over 5 km, curved upwards.
            assert!(
                next >= last && next - last < 1.5e-3,
                "{step}: {last} {next}"
            );
            last = next;
        }
    }
}
