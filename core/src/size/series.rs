//! The sections that can be bought, and the resistance to reckon with.

use crate::error::Error;
use crate::quantity::{ConductorArea, LinearResistance};
use crate::standard::SourceId;
use crate::standard::awg::{AmericanSize, TRADE_SIZES, strand_resistance_20, strand_source};
use crate::standard::iec60228::{self, ConductorClass};
use crate::standard::iso6722;
use crate::standard::metal::Metal;

/// Which table a metric section is taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[non_exhaustive]
pub enum MetricTable {
    /// IEC 60228 class 2, stranded for fixed installation; the one for aluminium.
    Iec60228Class2,
    /// IEC 60228 class 5, flexible.
    Iec60228Class5,
    /// ISO 6722-1 / ISO 19642, road-vehicle conductors (from memory).
    Iso6722,
}

impl MetricTable {
    /// The table for a metal when none is named: class 5, for aluminium class 2.
    pub const fn usual(metal: Metal) -> Self {
        match metal {
            Metal::Copper | Metal::TinnedCopper => Self::Iec60228Class5,
            Metal::Aluminium => Self::Iec60228Class2,
        }
    }
}

/// How a size is written.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Designation {
    /// In mm2: a nominal section, or the area of a conductor of entered resistance.
    Metric(ConductorArea),
    /// As AWG or kcmil; the area is the true one.
    American(AmericanSize),
}

/// Series that sections are picked from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Series {
    /// Metric sections of a table.
    Metric(MetricTable),
    /// AWG and kcmil.
    American,
}

/// One conductor that can be bought.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Conductor {
    /// How it is written.
    pub designation: Designation,
    /// Nominal section, for AWG and kcmil the true area.
    pub section: ConductorArea,
    /// Highest resistance at 20 degC.
    pub resistance_20: LinearResistance,
    /// Where the resistance comes from.
    pub source: SourceId,
}

impl Conductor {
    /// A metric section of a table.
    ///
    /// # Errors
    /// [`Error::NotInTable`] for a section that the table does not print.
    pub fn metric(table: MetricTable, metal: Metal, section: ConductorArea) -> Result<Self, Error> {
        let (resistance_20, source) = match table {
            MetricTable::Iec60228Class2 => (
                iec60228::resistance_20(ConductorClass::Class2, metal, section)?,
                SourceId::Iec60228Class2,
            ),
            MetricTable::Iec60228Class5 => (
                iec60228::resistance_20(ConductorClass::Class5, metal, section)?,
                SourceId::Iec60228Class5,
            ),
            MetricTable::Iso6722 => (iso6722::resistance_20(metal, section)?, SourceId::Iso6722),
        };
        Ok(Self {
            designation: Designation::Metric(section),
            section,
            resistance_20,
            source,
        })
    }

    /// An AWG or kcmil size.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a gauge thinner than 30 AWG.
    pub fn american(size: AmericanSize, metal: Metal) -> Result<Self, Error> {
        let section = size.area()?;
        Ok(Self {
            designation: Designation::American(size),
            section,
            resistance_20: strand_resistance_20(metal, section)?,
            source: strand_source(metal),
        })
    }

    /// A conductor of a gauge or circular-mil area that the trade list lacks.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] when the resistance leaves its bounds.
    pub fn american_area(section: ConductorArea, metal: Metal) -> Result<Self, Error> {
        Ok(Self {
            designation: Designation::Metric(section),
            section,
            resistance_20: strand_resistance_20(metal, section)?,
            source: strand_source(metal),
        })
    }

    /// The same conductor with the resistance of its datasheet.
    #[must_use]
    pub const fn with_resistance(mut self, resistance_20: LinearResistance) -> Self {
        self.resistance_20 = resistance_20;
        self.source = SourceId::Entered;
        self
    }

    /// A conductor of entered area and resistance, not tied to a table.
    pub const fn entered(section: ConductorArea, resistance_20: LinearResistance) -> Self {
        Self {
            designation: Designation::Metric(section),
            section,
            resistance_20,
            source: SourceId::Entered,
        }
    }
}

/// The sections of a series for a metal, ascending.
///
/// # Errors of the items
/// Those of [`Conductor::metric`]; a table without the metal yields nothing but the
/// error.
pub fn conductors(series: Series, metal: Metal) -> Result<impl Iterator<Item = Conductor>, Error> {
    let nominal: &'static [iec60228::ResistanceRow] = match series {
        Series::Metric(MetricTable::Iec60228Class2) => {
            iec60228::table(ConductorClass::Class2, metal)?.rows
        }
        Series::Metric(MetricTable::Iec60228Class5) => {
            iec60228::table(ConductorClass::Class5, metal)?.rows
        }
        Series::Metric(MetricTable::Iso6722) | Series::American => &[],
    };
    let iso = match series {
        Series::Metric(MetricTable::Iso6722) => Some(iso6722::sections()),
        _ => None,
    };
    let american: &'static [AmericanSize] = match series {
        Series::American => &TRADE_SIZES,
        Series::Metric(_) => &[],
    };
    let sections = nominal
        .iter()
        .filter_map(|row| ConductorArea::from_mm2(row.section_mm2).ok())
        .chain(iso.into_iter().flatten());
    let metric = sections.filter_map(move |section| match series {
        Series::Metric(table) => Conductor::metric(table, metal, section).ok(),
        Series::American => None,
    });
    let american = american
        .iter()
        .filter_map(move |&size| Conductor::american(size, metal).ok());
    Ok(metric.chain(american))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_series_ascends_and_its_resistance_falls() {
        for metal in Metal::ALL {
            for series in [
                Series::Metric(MetricTable::usual(metal)),
                Series::Metric(MetricTable::Iec60228Class2),
                Series::American,
            ] {
                let mut last: Option<Conductor> = None;
                let mut count = 0;
                for conductor in conductors(series, metal).unwrap() {
                    if let Some(last) = last {
                        assert!(conductor.section > last.section);
                        assert!(conductor.resistance_20 < last.resistance_20);
                    }
                    last = Some(conductor);
                    count += 1;
                }
                assert!(count >= 15, "{series:?} {metal:?}: {count}");
            }
        }
    }

    #[test]
    fn a_gauge_is_never_the_metric_section_beside_it() {
        let wide = conductors(Series::American, Metal::Copper).unwrap();
        let gauges: std::vec::Vec<_> = wide.collect();
        let near_70 = gauges
            .iter()
            .find(|c| (c.section.as_mm2() - 70.0).abs() < 4.0)
            .expect("2/0 AWG is 67.43 mm2");
        assert!((near_70.section.as_mm2() - 67.43).abs() < 0.01);
        assert!(
            Conductor::metric(MetricTable::Iec60228Class5, Metal::Copper, near_70.section).is_err()
        );
    }
}
