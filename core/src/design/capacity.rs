//! The fixed capacities of a design, once.
//!
//! Counted on the largest vehicle this project considers (see also
//! `network/capacity.rs`): eight traction-battery boxes in up to eight strings,
//! twelve consumers or charging sources on one distribution box, a low-voltage
//! side of twenty-four fused consumers.
//!
//! A text (an id, an instrument, initials) is kept once in one table of letters
//! and referred to by two bytes; a route that several conductors share is kept
//! once. So the sizes below follow from what a vehicle has, not from what the
//! longest name could be.
//!
//! | what | most | counted |
//! |---|---|---|
//! | terminals | 144 | 8 boxes x 5, bars and main path 10, 12 consumers x 3, low-voltage side 2 + 24 x 2 + 8 |
//! | conductors | 96 | 8 boxes x 3, main path 8, 12 consumers x 2, low-voltage side 32, spare |
//! | route pieces | 192 | two for each conductor; shared routes count once |
//! | batteries | 12 | 8 boxes, a box split by its service disconnect counts twice, 2 low-voltage |
//! | fuses | 56 | 8 boxes, 12 consumers, 24 low-voltage consumers, spare |
//! | contactors | 40 | 8 boxes x 2, 12 consumers, main 2, precharge 4, inlets 4, spare |
//! | loads | 48 | 12 on the high-voltage side, 4 charging sources, 24 low-voltage, spare |
//! | draws | 192 | 16 phases x 12 loads; a load that is not named idles |
//! | readings | 160 | both joints of 48 conductors, 32 bonds, isolation and trials |
//! | attestations | 96 | about 40 attested rules, some of them for each box |
//!
//! One network of the solver holds [`crate::network::MAX_NODES`] nodes. The
//! high-voltage and the low-voltage side are two networks, so a design has more
//! terminals than one network has nodes.
//!
//! All of it together, [`super::Design`], stays below [`DESIGN_BYTES`]: a
//! Cortex-M4F with 128 KiB of RAM holds it beside the workspace of the solver. The
//! host keeps it on its heap.

/// Most climates that a vehicle is divided into.
pub const MAX_ZONES: usize = 16;
/// Most boxes.
pub const MAX_ENCLOSURES: usize = 20;
/// Most terminals.
pub const MAX_TERMINALS: usize = 144;
/// Most batteries (boxes or parts of boxes between two terminals).
pub const MAX_BATTERIES: usize = 12;
/// Most conductors.
pub const MAX_CONDUCTORS: usize = 96;
/// Most pieces of all routes together.
pub const MAX_ROUTE_PIECES: usize = 192;
/// Most pieces of one route, the same as in a sizing question.
pub const MAX_PIECES_OF_ROUTE: usize = crate::size::question::MAX_PIECES;
/// Most tubes and sleeves of known size.
pub const MAX_TUBES: usize = 8;
/// Most fuses.
pub const MAX_FUSES: usize = 56;
/// Most contactors, relays of precharge and discharge included.
pub const MAX_CONTACTORS: usize = 40;
/// Most service disconnects.
pub const MAX_SERVICE_DISCONNECTS: usize = 4;
/// Most resistors: precharge, bleed, discharge.
pub const MAX_RESISTORS: usize = 16;
/// Most loads and charging sources.
pub const MAX_LOADS: usize = 48;
/// Most converters between the high-voltage and the low-voltage side.
pub const MAX_CONVERTERS: usize = 3;

/// Most types of cable.
pub const MAX_CABLE_TYPES: usize = 20;
/// Most types of fuse.
pub const MAX_FUSE_TYPES: usize = 20;
/// Most types of contactor.
pub const MAX_CONTACTOR_TYPES: usize = 10;
/// Most types of resistor.
pub const MAX_RESISTOR_TYPES: usize = 12;
/// Most types of lug.
pub const MAX_LUG_TYPES: usize = 20;
/// Most types of gland.
pub const MAX_GLAND_TYPES: usize = 16;

/// Most points of one time-current curve.
pub const MAX_CURVE_POINTS: usize = 10;
/// Most points of one derating curve.
pub const MAX_DERATING_POINTS: usize = 5;

/// Most operating phases.
pub const MAX_PHASES: usize = 16;
/// Most draws that phases name, all phases together.
pub const MAX_DRAWS: usize = 192;
/// Most duties.
pub const MAX_DUTIES: usize = 4;
/// Most phases of one duty, repetitions included.
pub const MAX_DUTY_STEPS: usize = 16;

/// Most measured distances inside boxes.
pub const MAX_SPACINGS: usize = 32;
/// Most readings.
pub const MAX_READINGS: usize = 160;
/// Most signatures: one for each day, person and instrument.
pub const MAX_SIGNATURES: usize = 32;
/// Most attestations.
pub const MAX_ATTESTATIONS: usize = 96;

/// Most different texts.
pub const MAX_TEXTS: usize = 640;
/// Most bytes of one text; the longest rule slug has 28.
pub const MAX_TEXT_BYTES: usize = 40;
/// Most bytes of all texts together: 640 texts of 8 bytes on average (ids have 2
/// to 12, a rule slug or the name of a photo 15 to 28).
pub const MAX_LETTERS: usize = 5120;

/// Upper limit of the size of [`super::Design`]; checked when compiling.
pub const DESIGN_BYTES: usize = 50 * 1024;
