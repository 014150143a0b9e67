//! A section as somebody wrote it, as a conductor of the published tables.

use orangeloom_core::error::Error;
use orangeloom_core::size::series::{Conductor, MetricTable, Series, conductors};
use orangeloom_core::standard::awg::{AmericanSize, TRADE_SIZES};
use orangeloom_core::standard::metal::Metal;

use crate::quantity_text::{Section, Series as Written};

/// The conductor with the resistance of its table.
///
/// # Errors
/// As the table of the series says.
pub(crate) fn conductor(
    section: &Section,
    table: MetricTable,
    metal: Metal,
) -> Result<Conductor, Error> {
    match (section.series, american(section)) {
        (Written::Metric, _) => Conductor::metric(table, metal, section.area),
        (_, Some(size)) => Conductor::american(size, metal),
        (_, None) => Conductor::american_area(section.area, metal),
    }
}

/// The gauge or circular-mil size of a section; `None` for metric ones and for an
/// area between the sizes of the trade.
fn american(section: &Section) -> Option<AmericanSize> {
    match section.series {
        Written::Awg(gauge) => Some(AmericanSize::Awg(gauge)),
        Written::Kcmil => TRADE_SIZES
            .into_iter()
            .find(|size| size.to_string() == section.label),
        Written::Metric => None,
    }
}

/// The nominal sections of a table on either side; `None` for a metal that it does not have.
pub(crate) fn beside(section: &Section, table: MetricTable, metal: Metal) -> Option<String> {
    let (mut below, mut above) = (None, None);
    for conductor in conductors(Series::Metric(table), metal).ok()? {
        let area = conductor.section;
        if area < section.area {
            below = Some(area);
        } else if above.is_none() {
            above = Some(area);
        }
    }
    let found = [below, above].into_iter().flatten();
    let words: Vec<String> = found.map(|area| format!("{} mm2", area.as_mm2())).collect();
    (!words.is_empty()).then(|| words.join(" and "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_section_between_two_of_the_table_is_told_with_both() {
        let section: Section = "60 mm2".parse().unwrap();
        let table = MetricTable::Iec60228Class5;
        assert!(conductor(&section, table, Metal::Copper).is_err());
        let told = beside(&section, table, Metal::Copper);
        assert_eq!(told.as_deref(), Some("50 mm2 and 70 mm2"));
        let gauge: Section = "2/0 AWG".parse().unwrap();
        let found = conductor(&gauge, table, Metal::Copper).unwrap();
        assert!((found.section.as_mm2() - 67.43).abs() < 0.01);
    }
}
