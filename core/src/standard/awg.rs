//! American wire gauge and circular mils.
//!
//! ASTM B258: the diameter of gauge n is `0.127 mm * 92^((36 - n) / 39)`, seen. Valid
//! for n from -3 (written 4/0) to 40. Above 4/0 the trade counts in kcmil: one
//! circular mil is the area of a circle of 0.001 inch.
//!
//! An AWG strand sold without a conductor class has no published resistance limit.
//! [`strand_resistance_20`] uses the true metal area and the largest excess over
//! `rho / S` that IEC 60228 allows to any section; the factor is computed here from
//! the table. **This is not a limit that a maker has promised.** Aircraft wire of 16
//! to 10 AWG carries less metal than its gauge: FAA AC 43.13-1B Table 11-9 allows it
//! up to 7 % more resistance than this rule gives (checked by a test). Where the data
//! sheet prints a resistance or a circular-mil area, use that.
//!
//! A gauge is never the metric section beside it: 2/0 AWG is 67.43 mm2, not 70 mm2.

use super::{SourceId, iec60228, metal::Metal};
use crate::error::Error;
use crate::quantity::{ConductorArea, Length, LinearResistance};

/// A gauge number: -3 for 4/0 up to 40.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(try_from = "i8", into = "i8")
)]
pub struct Gauge(i8);

impl Gauge {
    /// The gauge of a number; 1/0, 2/0, 3/0, 4/0 are 0, -1, -2, -3.
    ///
    /// # Errors
    /// [`Error::NotInTable`] outside -3 to 40.
    pub const fn new(number: i8) -> Result<Self, Error> {
        if number >= -3 && number <= 40 {
            Ok(Self(number))
        } else {
            Err(Error::NotInTable {
                table: SourceId::AstmB258,
                value: number as f32,
            })
        }
    }

    /// The number, as in [`Self::new`].
    pub const fn number(self) -> i8 {
        self.0
    }

    /// Diameter of the solid wire.
    pub fn diameter(self) -> Result<Length, Error> {
        Length::from_mm(self.diameter_mm())
    }

    /// Metal area. Conductors thinner than the bound of [`ConductorArea`], which
    /// are the gauges above 30, are refused.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] above 30 AWG.
    pub fn area(self) -> Result<ConductorArea, Error> {
        let diameter = self.diameter_mm();
        ConductorArea::from_mm2(core::f32::consts::FRAC_PI_4 * diameter * diameter)
    }

    /// The formula of the standard, counted from 4/0 (0.46 inch, 92 times the
    /// 0.005 inch of 36 AWG) because there the rounding of the exponent in `f32`
    /// does no harm to the thick gauges.
    fn diameter_mm(self) -> f32 {
        const FOUR_AUGHT_MM: f32 = 11.684;
        FOUR_AUGHT_MM * libm::powf(92.0, -(f32::from(self.0) + 3.0) / 39.0)
    }
}

impl TryFrom<i8> for Gauge {
    type Error = Error;

    fn try_from(number: i8) -> Result<Self, Error> {
        Self::new(number)
    }
}

impl From<Gauge> for i8 {
    fn from(gauge: Gauge) -> Self {
        gauge.0
    }
}

/// Area of a number of thousand circular mils.
///
/// # Errors
/// [`Error::OutOfRange`] if the area is outside the bound of [`ConductorArea`].
pub const fn kcmil_area(kcmil: f32) -> Result<ConductorArea, Error> {
    // pi/4 * (0.0254 mm)^2 per circular mil.
    ConductorArea::from_mm2(kcmil * 0.506_707_5)
}

/// A conductor size as American trade writes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
pub enum AmericanSize {
    /// A gauge.
    Awg(Gauge),
    /// Thousand circular mils.
    Kcmil(u16),
}

impl AmericanSize {
    /// Metal area, never rounded to a metric section.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] if the area is outside the bound of [`ConductorArea`].
    pub fn area(self) -> Result<ConductorArea, Error> {
        match self {
            Self::Awg(gauge) => gauge.area(),
            Self::Kcmil(kcmil) => kcmil_area(f32::from(kcmil)),
        }
    }
}

#[cfg(feature = "text")]
impl core::fmt::Display for AmericanSize {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Awg(Gauge(number)) if *number < 1 => write!(f, "{}/0 AWG", 1 - number),
            Self::Awg(Gauge(number)) => write!(f, "{number} AWG"),
            Self::Kcmil(kcmil) => write!(f, "{kcmil} kcmil"),
        }
    }
}

/// The sizes the trade sells as power cable, ascending in area (common practice,
/// no source).
pub const TRADE_SIZES: [AmericanSize; 20] = [
    AmericanSize::Awg(Gauge(20)),
    AmericanSize::Awg(Gauge(18)),
    AmericanSize::Awg(Gauge(16)),
    AmericanSize::Awg(Gauge(14)),
    AmericanSize::Awg(Gauge(12)),
    AmericanSize::Awg(Gauge(10)),
    AmericanSize::Awg(Gauge(8)),
    AmericanSize::Awg(Gauge(6)),
    AmericanSize::Awg(Gauge(4)),
    AmericanSize::Awg(Gauge(2)),
    AmericanSize::Awg(Gauge(1)),
    AmericanSize::Awg(Gauge(0)),
    AmericanSize::Awg(Gauge(-1)),
    AmericanSize::Awg(Gauge(-2)),
    AmericanSize::Awg(Gauge(-3)),
    AmericanSize::Kcmil(250),
    AmericanSize::Kcmil(300),
    AmericanSize::Kcmil(350),
    AmericanSize::Kcmil(400),
    AmericanSize::Kcmil(500),
];

/// Largest `R20 S / rho` of a table, `rho` in ohm m.
const fn largest_excess(mut rows: &[iec60228::ResistanceRow], tinned: bool, rho: f32) -> f32 {
    let mut largest = 1.0;
    while let [row, rest @ ..] = rows {
        let printed = match row.tinned_ohm_per_km {
            Some(value) if tinned => value,
            _ => row.plain_ohm_per_km,
        };
        // ohm/km times mm2 is 1e-9 ohm m.
        let excess = printed * row.section_mm2 * 1.0e-9 / rho;
        if excess > largest {
            largest = excess;
        }
        rows = rest;
    }
    largest
}

/// How much resistance a strand of unstated class is allowed above `rho20 / S`.
///
/// Copper: class 5, plain 1.157, tinned 1.192. Aluminium: class 1 and 2, 1.134,
/// since IEC 60228 knows no flexible aluminium.
pub const fn strand_allowance(metal: Metal) -> f32 {
    const RHO_CU: f32 = Metal::Copper.resistivity_20().as_ohm_m();
    const RHO_AL: f32 = Metal::Aluminium.resistivity_20().as_ohm_m();
    const PLAIN: f32 = largest_excess(iec60228::CLASS_5_COPPER.rows, false, RHO_CU);
    const TINNED: f32 = largest_excess(iec60228::CLASS_5_COPPER.rows, true, RHO_CU);
    const ALUMINIUM: f32 = largest_excess(iec60228::CLASS_2_ALUMINIUM.rows, false, RHO_AL);
    match metal {
        Metal::Copper => PLAIN,
        Metal::TinnedCopper => TINNED,
        Metal::Aluminium => ALUMINIUM,
    }
}

/// Source of [`strand_resistance_20`].
pub const fn strand_source(metal: Metal) -> SourceId {
    match metal {
        Metal::Copper | Metal::TinnedCopper => SourceId::AwgStrand,
        Metal::Aluminium => SourceId::AwgStrandAluminium,
    }
}

/// Resistance per length at 20 degC to reckon with for an AWG or kcmil strand of
/// unstated class: `rho20 / S * strand_allowance`, `S` the true metal area.
///
/// # Errors
/// [`Error::OutOfRange`] if the result is outside the bound of [`LinearResistance`].
pub fn strand_resistance_20(metal: Metal, area: ConductorArea) -> Result<LinearResistance, Error> {
    // ConductorArea is never zero.
    let solid = metal.resistivity_20().as_ohm_m() / area.as_m2();
    LinearResistance::from_ohm_per_m(solid * strand_allowance(metal))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gauge(number: i8) -> Gauge {
        Gauge::new(number).unwrap()
    }

    #[test]
    fn the_two_defining_diameters_come_back() {
        // ASTM B258, seen: 36 AWG is 0.005 inch, 4/0 is 0.46 inch.
        let inch = |number| gauge(number).diameter().unwrap().as_mm() / 25.4;
        assert!((inch(36) - 0.005).abs() < 2e-9);
        assert!((inch(-3) - 0.46).abs() < 1e-6);
    }

    #[test]
    fn gauges_outside_the_standard_are_refused() {
        assert!(Gauge::new(-4).is_err());
        assert!(Gauge::new(41).is_err());
        assert!(gauge(30).area().is_ok());
        assert!(gauge(31).area().is_err());
        assert!(gauge(40).diameter().is_ok());
    }

    #[test]
    fn one_kcmil_is_a_thousand_circles_of_a_mil() {
        let mil_mm = 0.0254_f64;
        let exact = 1000.0 * core::f64::consts::FRAC_PI_4 * mil_mm * mil_mm;
        let area = f64::from(kcmil_area(1.0).unwrap().as_mm2());
        assert!((area / exact - 1.0).abs() < 1e-6);
        assert!(kcmil_area(f32::NAN).is_err());
    }

    #[test]
    fn no_trade_size_passes_for_a_metric_section() {
        for size in TRADE_SIZES {
            let area = size.area().unwrap();
            for class in iec60228::ConductorClass::ALL {
                let found = iec60228::resistance_20(class, Metal::Copper, area);
                assert!(
                    matches!(found, Err(Error::NotInTable { .. })),
                    "{size:?} {found:?}"
                );
            }
        }
        for pair in TRADE_SIZES.windows(2) {
            assert!(pair[0].area().unwrap() < pair[1].area().unwrap());
        }
    }

    #[test]
    fn a_strand_is_reckoned_worse_than_the_next_larger_metric_section() {
        for size in TRADE_SIZES {
            let area = size.area().unwrap();
            for metal in [Metal::Copper, Metal::TinnedCopper] {
                let strand = strand_resistance_20(metal, area).unwrap();
                let table = iec60228::CLASS_5_COPPER;
                let larger = table.next_larger(area).unwrap();
                let limit =
                    iec60228::resistance_20(iec60228::ConductorClass::Class5, metal, larger)
                        .unwrap();
                assert!(strand > limit, "{size:?}");
            }
        }
    }

    #[cfg(feature = "text")]
    #[test]
    fn sizes_are_written_as_the_trade_writes_them() {
        use std::string::ToString;
        assert_eq!(AmericanSize::Awg(gauge(-1)).to_string(), "2/0 AWG");
        assert_eq!(AmericanSize::Awg(gauge(0)).to_string(), "1/0 AWG");
        assert_eq!(AmericanSize::Awg(gauge(4)).to_string(), "4 AWG");
        assert_eq!(AmericanSize::Kcmil(250).to_string(), "250 kcmil");
    }
}
