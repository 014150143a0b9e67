//! The flags of `size`, in words of the trade.

use clap::{Args, ValueEnum};
use orangeloom_core::quantity::{
    Altitude, Current, CurrentMargin, CurrentSquaredTime, Emissivity, Frequency, Length,
    LinearPower, LinearResistance, Resistance, ShieldLossRatio, Temperature, Time, Voltage,
};

use super::route_text::{RoutePiece, read_piece};
use crate::flags::{UnitSystem, read};
use crate::quantity_text::{Section, ShareOrFraction};

/// What one conductor has to do.
///
/// Quantities carry their unit: "250 A", "4.2 m", "13 ft 6 in", "185 degF".
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct SizeArgs {
    /// Continuous current, r.m.s. over the worst few minutes ("250 A")
    #[arg(long, value_name = "CURRENT", value_parser = read::<Current>, allow_hyphen_values = true)]
    pub current: Current,

    /// Peak from the settled continuous current ("450 A for 30 s"); repeatable
    #[arg(long, value_name = "CURRENT for TIME", value_parser = read::<(Current, Time)>, allow_hyphen_values = true)]
    pub peak: Vec<(Current, Time)>,

    /// Highest voltage between the poles ("403 V")
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, allow_hyphen_values = true)]
    pub voltage: Option<Voltage>,

    /// Length one way ("4.2 m", "13 ft 6 in")
    #[arg(long, value_name = "LENGTH", value_parser = read::<Length>, allow_hyphen_values = true)]
    pub length: Option<Length>,

    /// Allowed drop over the loop, share of the voltage, at the continuous current and at the
    /// end of each peak ("2 %") [default: 2 %]
    #[arg(long, value_name = "SHARE", value_parser = read::<ShareOrFraction>, allow_hyphen_values = true)]
    pub drop: Option<ShareOrFraction>,

    /// Air around the cable where it is hottest ("85 degC") [default: 60 degC]
    #[arg(long, value_name = "TEMPERATURE", value_parser = read::<Temperature>, allow_hyphen_values = true)]
    pub ambient: Option<Temperature>,

    /// Surfaces that the cable sees, if hotter than the air ("150 degC") [default: the air]
    #[arg(long, value_name = "TEMPERATURE", value_parser = read::<Temperature>, allow_hyphen_values = true)]
    pub radiant: Option<Temperature>,

    /// Radiation absorbed from elsewhere, per metre of cable ("8 W/m" of sun) [default: none]
    #[arg(long, value_name = "POWER PER METRE", value_parser = read::<LinearPower>, allow_hyphen_values = true)]
    pub absorbed: Option<LinearPower>,

    /// Temperature class of the insulation ("125 degC") [default: 90 degC]
    #[arg(long, value_name = "TEMPERATURE", value_parser = read::<Temperature>, allow_hyphen_values = true)]
    pub insulation_temperature: Option<Temperature>,

    /// What the insulation stands for seconds ("250 degC") [default: 250 degC for classes
    /// above 105 degC, else 160 degC]
    #[arg(long, value_name = "TEMPERATURE", value_parser = read::<Temperature>, allow_hyphen_values = true)]
    pub short_circuit_temperature: Option<Temperature>,

    /// Highest temperature of the terminals it lands on ("105 degC")
    #[arg(long, value_name = "TEMPERATURE", value_parser = read::<Temperature>, allow_hyphen_values = true)]
    pub terminal_temperature: Option<Temperature>,

    /// Resistance of one joint, crimp and bolted face together ("20 uohm")
    #[arg(long, value_name = "RESISTANCE", value_parser = read::<Resistance>, allow_hyphen_values = true)]
    pub joint_resistance: Option<Resistance>,

    /// Metal of the conductor [default: copper]
    #[arg(long, value_name = "METAL")]
    pub material: Option<Material>,

    /// Table that metric sections come from [default: class-5, for aluminium class-2]
    #[arg(long, value_name = "TABLE")]
    pub strand: Option<Strand>,

    /// Whether the cable has a shield [default: yes]
    #[arg(long, value_name = "YES OR NO")]
    pub shield: Option<YesNo>,

    /// Heat in the shield that does not depend on the current ("3 W/m") [default: none]
    #[arg(long, value_name = "POWER PER METRE", value_parser = read::<LinearPower>, allow_hyphen_values = true)]
    pub shield_loss: Option<LinearPower>,

    /// Heat in the shield as a multiple of the conductor's own ("0.05") [default: 0]
    #[arg(long, value_name = "NUMBER", value_parser = read::<ShieldLossRatio>, allow_hyphen_values = true)]
    pub shield_loss_ratio: Option<ShieldLossRatio>,

    /// Alternating part of the current, r.m.s., that comes back through the other
    /// conductor; heats a shield bonded at both ends ("20 A") [default: none]
    #[arg(long, value_name = "CURRENT", value_parser = read::<Current>, requires = "shield_resistance", allow_hyphen_values = true)]
    pub ripple: Option<Current>,

    /// Frequency of the ripple ("10 kHz") [default: so high that all of it flows in the shield]
    #[arg(long, value_name = "FREQUENCY", value_parser = read::<Frequency>, requires = "ripple", allow_hyphen_values = true)]
    pub ripple_frequency: Option<Frequency>,

    /// Distance of the axes of outgoing and return conductor ("25 mm") [default: so far that
    /// all of the ripple flows in the shield]
    #[arg(long, value_name = "LENGTH", value_parser = read::<Length>, requires = "ripple", allow_hyphen_values = true)]
    pub axis_distance: Option<Length>,

    /// Resistance of the shield per length at 20 degC, from the datasheet ("6.2 ohm/km")
    #[arg(long, value_name = "RESISTANCE PER LENGTH", value_parser = read::<LinearResistance>, requires = "ripple", allow_hyphen_values = true)]
    pub shield_resistance: Option<LinearResistance>,

    /// One piece of the route ("pair 2.4 m", "tube 1.2 m at 105 degC with 3 circuits");
    /// repeatable [default: free air over the whole length]
    ///
    /// Where: free air, pair (outgoing and return touching), panel (along a panel),
    /// tube (one cable in a closed tube or sleeve), pair in tube. Then the length one
    /// way. Then, in any order: at TEMPERATURE (air here), facing TEMPERATURE (surfaces
    /// here), with N circuits (loaded circuits in the bundle, this one included), inside
    /// DIAMETER outside DIAMETER (of the tube), metal, fibre or plastic (of the tube).
    #[arg(long, value_name = "WHERE LENGTH", value_parser = read_piece)]
    pub route: Vec<RoutePiece>,

    /// Height above sea level ("2300 m") [default: 0 m]
    #[arg(long, value_name = "HEIGHT", value_parser = read::<Altitude>, allow_hyphen_values = true)]
    pub altitude: Option<Altitude>,

    /// Frequency of phase leads ("400 Hz") [default: direct current]
    #[arg(long, value_name = "FREQUENCY", value_parser = read::<Frequency>, allow_hyphen_values = true)]
    pub frequency: Option<Frequency>,

    /// Short circuit until the protection opens ("6 kA for 8 ms")
    #[arg(long, value_name = "CURRENT for TIME", value_parser = read::<(Current, Time)>, conflicts_with = "let_through", allow_hyphen_values = true)]
    pub fault: Option<(Current, Time)>,

    /// What the fuse lets through in all, its total I2t at this voltage ("2.0e5 A2s")
    #[arg(long, value_name = "I2T", value_parser = read::<CurrentSquaredTime>, allow_hyphen_values = true)]
    pub let_through: Option<CurrentSquaredTime>,

    /// Judge this section instead of searching ("70 mm2", "2/0 AWG", "250 kcmil")
    #[arg(long, value_name = "SECTION", value_parser = read::<Section>, allow_hyphen_values = true)]
    pub section: Option<Section>,

    /// Resistance per length at 20 degC from the datasheet ("0.26 ohm/km"), with --section
    #[arg(long, value_name = "RESISTANCE PER LENGTH", value_parser = read::<LinearResistance>, requires = "section", allow_hyphen_values = true)]
    pub resistance: Option<LinearResistance>,

    /// Diameter over the strands ("9.2 mm")
    #[arg(long, value_name = "LENGTH", value_parser = read::<Length>, allow_hyphen_values = true)]
    pub conductor_diameter: Option<Length>,

    /// Wall of the insulation ("1.3 mm")
    #[arg(long, value_name = "LENGTH", value_parser = read::<Length>, allow_hyphen_values = true)]
    pub insulation_wall: Option<Length>,

    /// Thickness of the shield ("0.5 mm"; "0 mm" for none)
    #[arg(long, value_name = "LENGTH", value_parser = read::<Length>, allow_hyphen_values = true)]
    pub shield_wall: Option<Length>,

    /// Wall of the jacket ("1.5 mm"; "0 mm" for none)
    #[arg(long, value_name = "LENGTH", value_parser = read::<Length>, allow_hyphen_values = true)]
    pub jacket_wall: Option<Length>,

    /// Emissivity of the outside (0.9 polymer, 0.3 aluminium tape) [default: 0.9]
    #[arg(long, value_name = "NUMBER", value_parser = read::<Emissivity>, allow_hyphen_values = true)]
    pub emissivity: Option<Emissivity>,

    /// Factor on the carried current for what no model knows [default: 0.87]
    #[arg(long, value_name = "NUMBER", value_parser = read::<CurrentMargin>, allow_hyphen_values = true)]
    pub margin: Option<CurrentMargin>,

    /// Units of the text, and the series of the choice: mm2, or AWG and kcmil
    #[arg(long, value_name = "UNITS", default_value = "metric")]
    pub units: UnitSystem,

    /// Print each equation with the numbers in it
    #[arg(long)]
    pub explain: bool,

    /// Print JSON for other programs
    #[arg(long)]
    pub json: bool,
}

/// Metal of the conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
#[non_exhaustive]
pub enum Material {
    /// Bare copper.
    Copper,
    /// Tinned copper.
    TinnedCopper,
    /// Aluminium.
    Aluminium,
}

/// Table of metric sections.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
#[non_exhaustive]
pub enum Strand {
    /// IEC 60228 class 5, flexible.
    #[value(name = "class-5")]
    Class5,
    /// IEC 60228 class 2, stranded.
    #[value(name = "class-2")]
    Class2,
    /// ISO 6722-1 / ISO 19642, road-vehicle cables (from memory).
    #[value(name = "iso-19642")]
    Iso19642,
}

/// Yes or no.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
#[allow(clippy::exhaustive_enums)] // yes or no
pub enum YesNo {
    /// Yes.
    Yes,
    /// No.
    No,
}
