//! Published continuous currents of copper busbars: check values.
//!
//! DIN 43671, Table 1: flat copper bars indoors, ambient 35 degC, bar 65 degC, width
//! vertical. Each line says whether it was seen (bars up to 40 mm: one source) or is
//! from memory (from 50 mm: alternating current only).
//!
//! Nothing in this library computes with these currents; the heat balance of a bar
//! is held against them. Validity: the two temperatures above, one bar alone or two
//! bars with a gap of one thickness. A bar in a closed box carries less.

use super::{Evidence, SourceId};

/// One bar or pair of bars.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct BarRow {
    /// Width in mm.
    pub width_mm: f32,
    /// Thickness in mm.
    pub thickness_mm: f32,
    /// Number of bars side by side.
    pub bars: u8,
    /// Alternating current up to 60 Hz, painted and bare, in A.
    pub alternating: Finish,
    /// Direct current (and 16.7 Hz), painted and bare, in A; absent where unknown
    /// here.
    pub direct: Option<Finish>,
    /// Whether this line was seen.
    pub evidence: Evidence,
}

/// Current by the surface of the bar.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Finish {
    /// Painted, in A.
    pub painted: f32,
    /// Bare metal, in A.
    pub bare: f32,
}

const fn seen(
    (width_mm, thickness_mm): (f32, f32),
    bars: u8,
    alternating: (f32, f32),
    direct: (f32, f32),
) -> BarRow {
    BarRow {
        width_mm,
        thickness_mm,
        bars,
        alternating: finish(alternating),
        direct: Some(finish(direct)),
        evidence: Evidence::Seen,
    }
}

const fn memory((width_mm, thickness_mm): (f32, f32), alternating: (f32, f32)) -> BarRow {
    BarRow {
        width_mm,
        thickness_mm,
        bars: 1,
        alternating: finish(alternating),
        direct: None,
        evidence: Evidence::FromMemory,
    }
}

const fn finish((painted, bare): (f32, f32)) -> Finish {
    Finish { painted, bare }
}

/// Source of every value in this file.
pub const SOURCE: SourceId = SourceId::Din43671;

/// Ambient temperature of the table in degC.
pub const AMBIENT_DEGC: f32 = 35.0;

/// Bar temperature of the table in degC.
pub const BAR_DEGC: f32 = 65.0;

/// The table.
pub const COPPER_BARS: [BarRow; 25] = [
    seen((12.0, 5.0), 1, (203.0, 177.0), (203.0, 177.0)),
    seen((12.0, 10.0), 1, (326.0, 285.0), (326.0, 285.0)),
    seen((20.0, 5.0), 1, (319.0, 274.0), (320.0, 274.0)),
    seen((20.0, 10.0), 1, (497.0, 427.0), (499.0, 428.0)),
    seen((30.0, 5.0), 1, (447.0, 379.0), (448.0, 380.0)),
    seen((30.0, 10.0), 1, (676.0, 573.0), (683.0, 579.0)),
    seen((40.0, 5.0), 1, (573.0, 482.0), (576.0, 484.0)),
    seen((40.0, 10.0), 1, (850.0, 715.0), (865.0, 728.0)),
    seen((12.0, 5.0), 2, (345.0, 312.0), (345.0, 312.0)),
    seen((12.0, 10.0), 2, (605.0, 553.0), (605.0, 553.0)),
    seen((20.0, 5.0), 2, (560.0, 500.0), (562.0, 502.0)),
    seen((20.0, 10.0), 2, (924.0, 825.0), (932.0, 832.0)),
    seen((30.0, 5.0), 2, (760.0, 672.0), (766.0, 676.0)),
    seen((30.0, 10.0), 2, (1200.0, 1060.0), (1230.0, 1080.0)),
    seen((40.0, 5.0), 2, (952.0, 836.0), (966.0, 848.0)),
    seen((40.0, 10.0), 2, (1470.0, 1290.0), (1530.0, 1350.0)),
    memory((50.0, 5.0), (697.0, 583.0)),
    memory((50.0, 10.0), (1020.0, 852.0)),
    memory((60.0, 5.0), (826.0, 688.0)),
    memory((60.0, 10.0), (1180.0, 985.0)),
    memory((80.0, 5.0), (1070.0, 885.0)),
    memory((80.0, 10.0), (1500.0, 1240.0)),
    memory((100.0, 5.0), (1300.0, 1080.0)),
    memory((100.0, 10.0), (1810.0, 1490.0)),
    memory((120.0, 10.0), (2110.0, 1740.0)),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paint_helps_and_more_copper_carries_more() {
        for row in COPPER_BARS {
            for finish in [Some(row.alternating), row.direct].into_iter().flatten() {
                assert!(finish.painted > finish.bare, "{row:?}");
            }
            // Skin effect never raises the alternating current above the direct one.
            if let Some(direct) = row.direct {
                assert!(direct.painted >= row.alternating.painted, "{row:?}");
                assert!(direct.bare >= row.alternating.bare, "{row:?}");
            }
            for other in COPPER_BARS {
                let no_less = other.width_mm >= row.width_mm
                    && other.thickness_mm >= row.thickness_mm
                    && other.bars >= row.bars;
                if no_less && other != row {
                    assert!(
                        other.alternating.bare > row.alternating.bare,
                        "{row:?} {other:?}"
                    );
                }
            }
        }
    }
}
