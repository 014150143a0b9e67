//! What the check of a design finds.

use super::index::{EnclosureId, Kind, Thing};
use crate::error::Error;

/// One fault, and the thing that has it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a place and a fault are all there is
pub struct Finding {
    /// The thing.
    pub thing: Thing,
    /// Its fault.
    pub fault: Fault,
}

/// What can be wrong with a design.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Fault {
    /// It refers to an entry of this kind that the design does not have.
    NoSuch(Kind),
    /// One thing only ends at this terminal: no current can pass it.
    Dangling,
    /// Nothing ends at this terminal.
    Unused,
    /// Both its ends are on one terminal.
    BothEndsOnOneTerminal,
    /// It lies in the first of these boxes, or one end of it, and an end of it in the second:
    /// no cable is drawn between both.
    InTwoBoxes(EnclosureId, EnclosureId),
    /// These values contradict each other.
    Contradicts(Pair),
    /// A battery without a cell.
    NoCells,
    /// The cable cannot be built as described.
    Unbuildable(Error),
    /// The number of circuits in the bundle is not between 1 and 20.
    BundleCount,
    /// The phase says twice what this load draws.
    DrawTwice,
    /// A charging source draws, or a consumer delivers: the sign is the wrong way round.
    WrongSign,
    /// The duty has no phase.
    NoPhase,
    /// The low-voltage supply is conductively joined to the traction battery here.
    SystemsJoined,
    /// The battery is part of a ring, or its string cannot be followed.
    Ring,
    /// It is not known, and something that reads it stays open.
    Missing(Gap),
}

impl Fault {
    /// Whether something is only missing. The rest contradicts itself and nothing
    /// can be computed from it.
    pub const fn is_gap(self) -> bool {
        matches!(self, Self::Missing(_))
    }
}

worded! {
    /// Values that can contradict each other.
    #[non_exhaustive]
    Pair {
        /// Minimum, nominal and maximum cell voltage.
        CellVoltages: "the cell's minimum voltage must be below its nominal, and that below its maximum";
        /// Least and most resistance.
        Resistances: "the least resistance must not exceed the most";
        /// Lowest and highest voltage of a load.
        LoadWindow: "the lowest voltage must be below the highest";
        /// Melting and total I2t.
        FuseI2t: "the melting I2t must be below the total I2t";
        /// Minimum breaking current and breaking capacity.
        FuseBreaking: "the minimum breaking current must be below the breaking capacity";
        /// Rated and minimum breaking current.
        FuseRated: "the minimum breaking current must not be below the rated current";
        /// The points of the melting curve.
        FuseCurve: "along the melting curve the time must rise and the current must fall";
        /// The points of the derating curve.
        FuseDerating: "along the derating curve the temperature must rise and the share must not";
        /// Drop-out and pull-in voltage of a coil.
        Coil: "the coil must drop out below the voltage at which it pulls in";
        /// Breaking current with and against the arrow.
        BreakDirections: "against its arrow a contactor does not break more than along it";
        /// Thinnest and thickest cable of a gland.
        GlandRange: "the thinnest cable must be thinner than the thickest";
        /// Lowest supply of the coils and its dips.
        CoilSupply: "the lowest supply must not be below the voltage in a dip";
        /// Trip and lasting limit of the controller.
        TripAndLimit: "the trip current must be above the lasting limit of a string";
        /// Trip of the controller and what it opens a contactor on.
        TripAndOpening: "the trip current must not be above opens-discharging, or it never trips: up to there it opens contactors, above it leaves them closed";
        /// What the controller acts on and the range of its sensors.
        ActsOutOfRange: "trip-current, opens-discharging and opens-charging must be below current-range: in its last hundredth a sensor may show less than flows";
        /// Coldest and hottest air of a zone.
        ZoneAir: "the coldest air must be below the hottest";
    }

    /// What can be missing.
    #[non_exhaustive]
    Gap {
        /// Type of cable.
        CableType: "which cable it is";
        /// Route.
        Route: "where it runs: zone, length, installation";
        /// Length of a piece of a route.
        RouteLength: "how long this piece of the route is";
        /// How a piece of a route is laid.
        Laid: "how it is laid there; state laid: free-air (alone), touching-pair, against-panel or tube";
        /// Other loaded circuits beside it.
        Bundle: "how many loaded circuits run bundled there, this one included; state circuits, 1 if it is alone";
        /// Temperature of a conductor in a computation.
        ConductorTemperature: "how hot the conductor is";
        /// Current of a conductor in a phase of a duty.
        Current: "the current in every phase of the duty; see why a phase could not be solved";
        /// Air of a zone.
        Air: "how hot the air of this zone becomes";
        /// Temperature class of a cable.
        TemperatureClass: "which conductor temperature the cable allows";
        /// Altitude of the vehicle.
        Altitude: "how high above the sea the vehicle is used";
        /// Revision of the design.
        Revision: "the revision of the design";
        /// Voltage of a cell.
        CellVoltage: "minimum, nominal and maximum voltage of the cell";
        /// Resistance of a cell.
        CellResistance: "the resistance of the cell";
        /// Links between the cells of a battery.
        Links: "the resistance of all links between its cells together, or 0 ohm where that of the cells includes them";
        /// Inductance of a battery.
        BatteryInductance: "the inductance of the battery from terminal to terminal";
        /// Type of fuse.
        FuseType: "which fuse it is";
        /// Type of contactor.
        ContactorType: "which contactor it is";
        /// Section on the terminals of a contactor.
        ContactorSection: "which section is on its terminals (section): no cable ends there, so that of the bars";
        /// Type of resistor.
        ResistorType: "which resistor it is";
        /// Resistance of a resistor.
        Resistance: "its resistance";
        /// Zone of a box.
        Zone: "the zone it is in";
        /// Duration of a phase.
        Duration: "how long the phase lasts";
        /// What a load draws in a phase.
        Draw: "what the load draws while it works";
        /// No phase names a load that is rated for something.
        WhenDrawn: "draws with this load in a phase (0 A where it draws nothing), or its duty-share";
        /// A load draws in a phase in which nothing feeds it.
        Fed: "a closed way to it in every phase in which it draws; state closed there, or draws of 0 A";
        /// What a load draws without being asked.
        IdleDraw: "what the load draws as soon as it has voltage";
        /// What a converter draws.
        ConverterDraw: "output voltage, efficiency and the loads of the converter";
        /// A battery.
        Battery: "a battery of this side";
        /// Capacity of a cell.
        CellCapacity: "the capacity of the cell";
        /// Mass of a cell.
        CellMass: "the mass of the cell";
        /// A battery of the low-voltage side.
        LowVoltageBattery: "a battery of the low-voltage side, with its resistance";
        /// A phase or duty.
        Phase: "what the vehicle does: at least one [[phase]]";
        /// Resistance of a joint.
        Joint: "the resistance of the joint at this end";
        /// Temperature limit of a terminal or lug.
        TerminalLimit: "which temperature the terminal or its lug allows";
        /// Output voltage of a converter.
        OutputVoltage: "the output voltage of the converter";
        /// Box of a terminal.
        Box: "the box it is in";
        /// Pollution degree of a box.
        Pollution: "the pollution degree inside the box, or that of its zone";
        /// Material group of a surface.
        MaterialGroup: "the material group of the surface, from its tracking index (CTI)";
        /// Kind of insulation.
        InsulationKind: "what the insulation is relied upon for: basic, reinforced";
        /// Clearance as built.
        Clearance: "the shortest way through air, measured";
        /// Creepage distance as built.
        Creepage: "the shortest way over the surface, measured";
        /// Temporary overvoltage.
        TemporaryOvervoltage: "the temporary overvoltage: a charging source may bring in the mains";
        /// Isolation resistance of a part.
        Isolation: "the isolation resistance of every part of the high-voltage system";
        /// Which isolation rule holds.
        IsolationCase: "whether direct and alternating current are connected, and how that is protected";
        /// Capacitance to chassis of a part.
        YCapacitance: "the capacitance to chassis of every part of the high-voltage system";
        /// Range of the isolation monitor.
        Monitor: "what the datasheet of the isolation monitor says: capacitance, voltages, time, alarm";
        /// Voltage class of a cable.
        VoltageClass: "the voltage class printed on the cable";
        /// Whether switching devices drive current through a circuit.
        Noise: "whether the circuit leads to an inverter, charger or converter";
        /// Whether the circuit runs in metal.
        InMetal: "whether it runs in a metal tube or box over its whole length";
        /// Distance to low-voltage wiring.
        LowVoltageDistance: "how far it keeps from low-voltage wiring";
        /// Whether a cable has a shield.
        Shielded: "whether the cable has a shield";
        /// How a braid is built.
        Braid: "how the braid is built: strands, carriers, lay";
        /// How a shield ends.
        ShieldEnd: "how the shield ends here: round contact or pigtail";
        /// From shield to bare conductor.
        CutBack: "the distance from the shield's edge to the bare conductor, measured";
        /// Fuse that protects a circuit.
        ProtectingFuse: "which fuse protects this circuit; none ends on it";
        /// Capacitance of a load.
        LinkCapacitance: "the capacitance between its terminals (link); \"0 F\" where it has none";
        /// What discharges a capacitor.
        Bleed: "what discharges its capacitor: bleed of the load, or a [[resistor]] for bleed or discharge";
        /// Voltage from which a load draws its idle power.
        IdleFrom: "from which voltage it draws its idle power (idle-from)";
        /// What a precharge resistor charges.
        PrechargePath: "what it charges: no way leads from a string through it to a load";
        /// Voltage left when precharge ends.
        ClosesWithin: "how many volts are left when the contactor closes (closes-within)";
        /// Time-out of a resistor.
        TimeOut: "after which time the controller gives up (time-out)";
        /// Contactor that closes after precharge.
        MainContactor: "which contactor closes past this resistor; none leads round it";
        /// What a contactor closes on.
        ClosesOn: "what it closes on: it is in no precharge path and leads past none";
        /// Making current of a contactor.
        Make: "the largest current it may close on (make)";
        /// Pulse energy of a resistor.
        PulseEnergy: "the energy of one pulse (pulse)";
        /// Peak power of a resistor.
        PeakPower: "the peak power of one pulse (peak-power)";
        /// Lasting power of a resistor.
        LastingPower: "the lasting power (power)";
        /// What a resistor stands with a welded contactor.
        Standing: "how long it stands the battery: pulse, power or cooling";
        /// Waiting time on the label of a box.
        LabelWait: "how long its label says to wait (label-wait)";
        /// Difference at which strings are joined.
        JoinWindow: "at which difference of voltage strings are joined (join-window under [controller])";
        /// Error of the measured voltage of a string.
        VoltageError: "by how much the measured voltage of a string may be wrong (voltage-error under [controller]): compare it with a good meter, empty, full, cold and hot";
        /// Limits on joining strings.
        JoinLimit: "what limits the join: charge-limit and discharge-limit of the cells, make of the contactor, rated current of the fuse";
        /// Limit of current of a cell.
        CellCurrent: "what the cell allows (charge-limit, discharge-limit)";
        /// Breaking capacity of the fuse of a string.
        StringFuse: "the breaking capacity of the fuse of this string";
        /// Lowest supply of the coils.
        LowestSupply: "the lowest voltage of the coils' source at pull-in (lowest-supply under [controller])";
        /// Dip of the supply of the coils.
        SupplyDip: "the lowest voltage of the coils' source in a dip (supply-dip under [controller])";
        /// Wires of a coil.
        CoilWire: "the resistance between source and coil, both ways (coil-wire)";
        /// Terminals of a coil.
        CoilTerminals: "which two terminals of the low-voltage side its coil is on (coil: supply, return)";
        /// Heat of a coil.
        CoilRise: "how much warmer than the air the coil becomes (rise under coil)";
        /// Electrical values of a coil.
        CoilValues: "pull-in, drop-out, and resistance or power of the coil";
        /// Current on which the controller opens.
        Opens: "on which current the controller opens it (opens-discharging, opens-charging under [controller])";
        /// Lasting limits of the controller.
        ControllerLimit: "the lasting limit of the controller (discharge-limit and charge-limit, or string-limit, under [controller])";
        /// Lasting limit of the controller into each string.
        StringChargeLimit: "the lasting current that the controller lets into each string (string-charge-limit under [controller]): its settings for regeneration and charging with one string closed";
        /// Trip of the controller.
        Trip: "the trip of the controller (trip-current, trip-time under [controller])";
        /// What opens in the gap of a partial-range fuse.
        Opener: "which contactor opens on what melts it without being broken; none is in series with it";
        /// Bond of a box.
        Bond: "the bond strap of the box: section, metal and length";
        /// Total I2t of a fuse.
        FuseTotal: "the total I2t of its fuse at the highest voltage of the pack";
        /// Rated current of a fuse.
        FuseRated: "its rated current (rated)";
        /// Derating curve of a fuse.
        FuseDerating: "what air that hot leaves of its rated current (derating)";
        /// Share that a holder leaves.
        FuseHolder: "what its holder leaves of its rated current (holder)";
        /// Melting curve of a fuse.
        FuseCurve: "its melting curve as far as this time (curve)";
        /// Curve and I2t of a fuse.
        FuseTimes: "its melting curve and total I2t at the voltage of the pack (curve, total)";
        /// Curve and I2t of a fuse of the low-voltage side.
        LowFuseTimes: "its melting curve and total I2t (curve, total), which its cable is chosen by";
        /// A short circuit behind a thing.
        ShortBehind: "the current of a short circuit through it; no conductor is stated behind it";
        /// Lug at an end of a conductor.
        Lug: "which lug is on this end (lug)";
        /// Barrel of a lug.
        LugBarrel: "the section that its barrel is made for (barrel)";
        /// Metal of a lug.
        LugMetal: "the metal of its barrel (metal): the cable is of aluminium";
        /// Hole of a lug.
        LugHole: "the diameter of its hole (hole)";
        /// Palm of a lug.
        LugPalm: "width and thickness of its palm (palm-width, palm-thickness)";
        /// Stud of a terminal.
        Stud: "the diameter of its stud (stud)";
        /// Gland at an end of a conductor.
        Gland: "which gland is on this end (gland)";
        /// Outer diameter of a cable.
        OuterDiameter: "the outer diameter of the cable (outer-diameter)";
    }
}

#[cfg(feature = "text")]
impl Fault {
    /// The fault as one clause after the name of the thing.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NoSuch(_) => "refers to something that the design does not have",
            Self::Dangling => "has one thing only on it; join a second or remove the terminal",
            Self::Unused => "has nothing on it; join something or remove the terminal",
            Self::BothEndsOnOneTerminal => "has both ends on one terminal",
            Self::InTwoBoxes(..) => {
                "lies in one box and ends in another; draw the cable between both as a conductor"
            }
            Self::Contradicts(pair) => pair.words(),
            Self::NoCells => "has no cell; state cells in series and in parallel, both at least 1",
            Self::Unbuildable(_) => "cannot be built as described",
            Self::BundleCount => "needs between 1 and 20 loaded circuits, itself included",
            Self::DrawTwice => "is given two draws for one load in one phase",
            Self::WrongSign => {
                "has the wrong sign: a load draws a positive amount, a source delivers a negative one"
            }
            Self::NoPhase => "has no phase",
            Self::SystemsJoined => "joins the low-voltage supply to the traction battery",
            Self::Ring => "is part of a ring of batteries, or is joined twice",
            Self::Missing(gap) => gap.words(),
        }
    }
}
