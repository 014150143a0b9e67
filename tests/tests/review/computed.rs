//! Rows of the computed and measured rules, by area.

use crate::harness::Row;
use crate::{
    rows_conductor, rows_fault, rows_insulation, rows_pack, rows_protection, rows_reading,
    rows_sequence,
};

pub(crate) const ROWS: &[&[Row]] = &[
    rows_pack::ROWS,
    rows_conductor::ROWS,
    rows_protection::ROWS,
    rows_fault::ROWS,
    rows_insulation::ROWS,
    rows_reading::ROWS,
    rows_sequence::ROWS,
];
