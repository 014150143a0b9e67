//! The flags of `precharge`, in words of the trade.

use clap::Args;
use orangeloom_core::insulation::Domain;
use orangeloom_core::link::StandingLoad;
use orangeloom_core::quantity::{Capacitance, Current, Energy, Power, Resistance, Time, Voltage};

use super::load_text::read_load;
use crate::flags::{UnitSystem, one_of_described, read};
use crate::quantity_text::ShareOrFraction;
use crate::spacing::names;

/// What charges the capacitors between the poles, and what discharges them.
///
/// Quantities carry their unit: "403 V", "1.15 mF", "47 ohm", "0.5 s". Without --resistor
/// the range of resistors that work is searched and one of it judged.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct PrechargeArgs {
    /// Highest voltage of the pack, full and being charged ("403.2 V")
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, allow_hyphen_values = true)]
    pub voltage: Voltage,

    /// Lowest voltage of the pack, empty and under load ("288 V"): standing loads weigh
    /// most there [default: the highest]
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, allow_hyphen_values = true)]
    pub lowest: Option<Voltage>,

    /// Voltage of an ordinary day ("355 V"): also prints what to expect then, without
    /// tolerances, for a check with a meter
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, allow_hyphen_values = true)]
    pub nominal: Option<Voltage>,

    /// All capacitors between the poles that the contactor reaches, added up ("1.15 mF")
    #[arg(long, value_name = "CAPACITANCE", value_parser = read::<Capacitance>, allow_hyphen_values = true)]
    pub capacitance: Capacitance,

    /// Tolerance of the capacitors ("20 %") [default: 20 %]
    #[arg(long, value_name = "SHARE", value_parser = read::<ShareOrFraction>, allow_hyphen_values = true)]
    pub capacitance_tolerance: Option<ShareOrFraction>,

    /// Precharge resistor ("47 ohm") [default: one of the range that works]
    #[arg(long, value_name = "RESISTANCE", value_parser = read::<Resistance>, allow_hyphen_values = true)]
    pub resistor: Option<Resistance>,

    /// Tolerance of all resistors ("5 %") [default: 5 %]
    #[arg(long, value_name = "SHARE", value_parser = read::<ShareOrFraction>, allow_hyphen_values = true)]
    pub resistor_tolerance: Option<ShareOrFraction>,

    /// Energy of one pulse that the resistor takes from cold, from its datasheet ("400 J")
    #[arg(long, value_name = "ENERGY", value_parser = read::<Energy>, allow_hyphen_values = true)]
    pub pulse_energy: Option<Energy>,

    /// Peak power that the resistor takes, from its datasheet ("5 kW")
    #[arg(long, value_name = "POWER", value_parser = read::<Power>, allow_hyphen_values = true)]
    pub pulse_power: Option<Power>,

    /// Lasting power of the resistor at its place ("25 W")
    #[arg(long, value_name = "POWER", value_parser = read::<Power>, allow_hyphen_values = true)]
    pub resistor_power: Option<Power>,

    /// Time constant of its cooling ("60 s") [default: pulse energy over lasting power]
    #[arg(long, value_name = "TIME", value_parser = read::<Time>, allow_hyphen_values = true)]
    pub cooling: Option<Time>,

    /// A thermal cut-out at the resistor opens its circuit without software: it takes the
    /// place of the check with a shorted link
    #[arg(long)]
    pub cut_out: bool,

    /// What draws from the link meanwhile: a current, a resistance or a constant power, and
    /// the voltage from which it draws ("0.8 A from 150 V", "33 kohm", "200 W from 150 V");
    /// repeatable
    #[arg(long, value_name = "LOAD", value_parser = read_load, allow_hyphen_values = true)]
    pub load: Vec<StandingLoad>,

    /// Voltage of the link when it begins ("40 V"); above the lowest pack voltage the link
    /// feeds the pack when the contactor closes [default: 0 V]
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, allow_hyphen_values = true)]
    pub start: Option<Voltage>,

    /// The contactor closes at this share of the pack voltage ("95 %") [default: 95 %]
    #[arg(long, value_name = "SHARE", value_parser = read::<ShareOrFraction>, conflicts_with = "close_below", allow_hyphen_values = true)]
    pub threshold: Option<ShareOrFraction>,

    /// The contactor closes when less than this is left between pack and link ("10 V");
    /// better than a share where the voltage is high
    #[arg(long, value_name = "VOLTAGE", value_parser = read::<Voltage>, allow_hyphen_values = true)]
    pub close_below: Option<Voltage>,

    /// After this time the controller gives up ("0.5 s"); also how long it may take
    #[arg(long, value_name = "TIME", value_parser = read::<Time>, allow_hyphen_values = true)]
    pub time_out: Option<Time>,

    /// From the time-out until the relay is really open ("50 ms") [default: 0.1 s]
    #[arg(long, value_name = "TIME", value_parser = read::<Time>, allow_hyphen_values = true)]
    pub reaction: Option<Time>,

    /// Tries in a row before the controller locks [default: 3]
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u8).range(1..=50))]
    pub tries: Option<u8>,

    /// Pause between two tries ("10 s") [default: none]
    #[arg(long, value_name = "TIME", value_parser = read::<Time>, allow_hyphen_values = true)]
    pub pause: Option<Time>,

    /// Largest current of the precharge relay, its fuse and its wires ("20 A")
    #[arg(long, value_name = "CURRENT", value_parser = read::<Current>, allow_hyphen_values = true)]
    pub peak_current: Option<Current>,

    /// Loop that the main contactor closes: pack, cables, joints ("60 mohm")
    #[arg(long, value_name = "RESISTANCE", value_parser = read::<Resistance>, allow_hyphen_values = true)]
    pub loop_resistance: Option<Resistance>,

    /// Largest current that the main contactor may close on, into capacitors ("400 A")
    #[arg(long, value_name = "CURRENT", value_parser = read::<Current>, allow_hyphen_values = true)]
    pub make: Option<Current>,

    /// Bleed resistor that lies across the link for ever ("33 kohm"); it draws while the link
    /// is charged too and is not stated as a --load as well
    #[arg(long, value_name = "RESISTANCE", value_parser = read::<Resistance>, allow_hyphen_values = true)]
    pub bleed: Option<Resistance>,

    /// Lasting power of the bleed at its place ("10 W")
    #[arg(long, value_name = "POWER", value_parser = read::<Power>, requires = "bleed", allow_hyphen_values = true)]
    pub bleed_power: Option<Power>,

    /// Discharge resistor that a switch puts across the link ("1.5 kohm")
    #[arg(long, value_name = "RESISTANCE", value_parser = read::<Resistance>, allow_hyphen_values = true)]
    pub discharge: Option<Resistance>,

    /// Energy of one pulse of the discharge resistor ("300 J")
    #[arg(long, value_name = "ENERGY", value_parser = read::<Energy>, requires = "discharge", allow_hyphen_values = true)]
    pub discharge_energy: Option<Energy>,

    /// Lasting power of the discharge resistor ("50 W")
    #[arg(long, value_name = "POWER", value_parser = read::<Power>, requires = "discharge", allow_hyphen_values = true)]
    pub discharge_power: Option<Power>,

    /// After this time the discharge switch opens again, whatever the voltage is ("6 s")
    #[arg(long, value_name = "TIME", value_parser = read::<Time>, requires = "discharge", allow_hyphen_values = true)]
    pub discharge_cut_off: Option<Time>,

    /// Longest time until the link may be touched: rules ask for 5 s after opening with a
    /// tool, 1 s where a connector parts without one ("1 s") [default: 5 s with --discharge]
    #[arg(long, value_name = "TIME", value_parser = read::<Time>, allow_hyphen_values = true)]
    pub discharge_time: Option<Time>,

    /// Waiting time that the label prints ("60 s")
    #[arg(long, value_name = "TIME", value_parser = read::<Time>, requires = "bleed", allow_hyphen_values = true)]
    pub label: Option<Time>,

    /// Capacitors from one pole to chassis, the pole with more of them ("0.4 uF")
    /// [default: none]
    #[arg(long, value_name = "CAPACITANCE", value_parser = read::<Capacitance>, allow_hyphen_values = true)]
    pub y_capacitance: Option<Capacitance>,

    /// Where the machine is used: decides which voltage may be touched [default: road]
    #[arg(long, value_name = "DOMAIN", value_parser = one_of_described(&Domain::ALL, names::domain, names::domain_described))]
    pub domain: Option<Domain>,

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
