//! The flags of `spacing`, in words of the trade.

use clap::Args;
use orangeloom_core::insulation::Domain;
use orangeloom_core::quantity::{Altitude, ComparativeTrackingIndex, Length, Voltage};
use orangeloom_core::standard::iec60664::{
    Insulation, MaterialGroup, OvervoltageCategory, PollutionDegree,
};
use orangeloom_core::standard::iec60664_creepage::Surface;

use super::names;
use super::profile_text::{SurfaceCut, read_surface};
use crate::flags::{UnitSystem, one_of, one_of_described, one_of_spelled, read};

/// What stands between two live parts, or a live part and one that can be touched.
///
/// Quantities carry their unit: "806 V", "9 mm", "2300 m".
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
#[allow(clippy::struct_excessive_bools)] // each is a flag
pub struct SpacingArgs {
    /// Highest working voltage between the two parts, direct or r.m.s.; of a battery that
    /// of the full pack ("806 V")
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, required_unless_present = "table", allow_hyphen_values = true)]
    pub voltage: Option<Voltage>,

    /// The working voltage is alternating, r.m.s. [default: direct]
    #[arg(long)]
    pub alternating: bool,

    /// Highest peak that comes back in each period; enter it for outputs of inverters and
    /// converters ("950 V") [default: that of a direct or sinusoidal voltage]
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, allow_hyphen_values = true)]
    pub peak: Option<Voltage>,

    /// Rated impulse voltage, if it is known ("4 kV") [default: by category]
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, conflicts_with_all = ["overvoltage_category", "system_voltage"], allow_hyphen_values = true)]
    pub impulse: Option<Voltage>,

    /// What comes from the supply: I limited by the circuit, II on a socket, III fixed
    /// installation, IV at its origin [default: II]
    #[arg(long, value_name = "CATEGORY", value_parser = one_of_spelled(&OvervoltageCategory::ALL, OvervoltageCategory::word, names::category_spelled), ignore_case = true)]
    pub overvoltage_category: Option<OvervoltageCategory>,

    /// Voltage that the category belongs to: from pole to pole of a battery, line to neutral
    /// of earthed mains [default: the larger of --voltage and --mains]
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, allow_hyphen_values = true)]
    pub system_voltage: Option<Voltage>,

    /// Nominal voltage of the mains, r.m.s., if a charger without separation connects the
    /// circuit to it ("230 V") [default: never connected]
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, conflicts_with = "temporary", allow_hyphen_values = true)]
    pub mains: Option<Voltage>,

    /// Temporary overvoltage, if it is known, as a peak ("2100 V") [default: none]
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, allow_hyphen_values = true)]
    pub temporary: Option<Voltage>,

    /// Highest altitude of use ("2300 m") [default: 2000 m, up to where the tables hold as
    /// they are]
    #[arg(long, value_name = "HEIGHT", value_parser = read::<Altitude>, allow_hyphen_values = true)]
    pub altitude: Option<Altitude>,

    /// How dirty and wet the surface gets: 1 sealed and dry, 2 dry dirt and dew now and then,
    /// 3 conductive dirt or dew on dirt, 4 wet all the time [default: 3]
    #[arg(long, value_name = "DEGREE", value_parser = one_of(&PollutionDegree::ALL, names::pollution))]
    pub pollution: Option<PollutionDegree>,

    /// Comparative tracking index of the surface, from the datasheet ("250")
    #[arg(long, value_name = "NUMBER", value_parser = read::<ComparativeTrackingIndex>, conflicts_with = "material_group", allow_hyphen_values = true)]
    pub cti: Option<ComparativeTrackingIndex>,

    /// Material group of the surface: I from CTI 600, II from 400, IIIa from 175, IIIb from
    /// 100 [default: IIIb]
    #[allow(clippy::doc_markdown)] // printed as help
    #[arg(long, value_name = "GROUP", value_parser = one_of_spelled(&MaterialGroup::ALL, MaterialGroup::word, names::group_spelled), ignore_case = true)]
    pub material_group: Option<MaterialGroup>,

    /// What the path runs over; ribbed: a rib across it at least 2 mm and 25 % of the
    /// required distance high and 20 % wide (from memory), counts from 8 mm in pollution
    /// degree 3; printed-wiring: bare tracks on a board [default: plain]
    #[arg(long, value_name = "SURFACE", value_parser = one_of(&names::SURFACES, names::surface))]
    pub surface: Option<Surface>,

    /// What the insulation is relied upon for: between poles functional or basic; to what
    /// people touch basic plus a second protection, or reinforced [default: basic]
    #[arg(long, value_name = "KIND", value_parser = one_of(&Insulation::ALL, Insulation::word))]
    pub insulation: Option<Insulation>,

    /// Judge this clearance, the shortest way through air ("9 mm")
    #[arg(long, value_name = "LENGTH", value_parser = read::<Length>, allow_hyphen_values = true)]
    pub clearance: Option<Length>,

    /// Judge this creepage distance, the shortest way over the surface ("10 mm")
    #[arg(long, value_name = "LENGTH", value_parser = read::<Length>, allow_hyphen_values = true)]
    pub creepage: Option<Length>,

    /// Judge the way over a surface with grooves and ribs, given by its points x y in mm
    /// from one part to the other ("0 0; 5 0; 5 -3; 7 -3; 7 0; 12 0")
    ///
    /// The solid is below, the air above; x runs from left to right; a vertical wall is two
    /// points above each other. Without --clearance the way through air above these points
    /// is judged as well.
    #[arg(long, value_name = "POINTS", value_parser = read_surface, conflicts_with = "creepage", allow_hyphen_values = true)]
    pub profile: Option<SurfaceCut>,

    /// Print a row for each of these voltages ("100 V, 400 V, 800 V"); without a list, the
    /// rows of the creepage table from 63 V to 1000 V
    #[arg(long, value_name = "VOLTAGES", num_args = 0..=1, value_parser = names::read_voltages, default_missing_value = "", conflicts_with_all = ["voltage", "profile", "explain", "tests"])]
    pub table: Option<names::Voltages>,

    /// Where the machine is used: decides below which voltage nothing has to be protected
    /// [default: road]
    #[arg(long, value_name = "DOMAIN", value_parser = one_of_described(&Domain::ALL, names::domain, names::domain_described))]
    pub domain: Option<Domain>,

    /// Print test voltages, what to disconnect before, and the isolation limits as well
    #[arg(long)]
    pub tests: bool,

    /// Units of the text
    #[arg(long, value_name = "UNITS", default_value = "metric")]
    pub units: UnitSystem,

    /// Print each equation with the numbers in it
    #[arg(long)]
    pub explain: bool,

    /// Print JSON for other programs
    #[arg(long)]
    pub json: bool,
}
