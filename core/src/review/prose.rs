//! What each rule checks, why, and what to do when it fails or stays open: for people, on
//! the host only.

use super::registry::RuleId;

/// A rule in words.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Prose {
    /// What is checked, with its limit.
    pub checks: &'static str,
    /// What happens where it is not kept.
    pub why: &'static str,
    /// What to do when it fails, and how to get what is missing.
    pub cure: &'static str,
}

macro_rules! prose {
    ($( $id:ident: $checks:literal, $why:literal, $cure:literal; )*) => {
        impl RuleId {
            /// The rule in words.
            #[cfg(feature = "text")]
            pub const fn prose(self) -> Prose {
                match self {
                    $( Self::$id => Prose { checks: $checks, why: $why, cure: $cure }, )*
                }
            }
        }
    };
}

prose! {
    PackVoltageWindow: "The highest voltage of the battery, cells in series times the highest cell voltage plus the stated charging tolerance, lies within the rules of the domain and within the rating of every service disconnect and resistor.", "A part above its voltage fails by arcing, often at the first fault and not on the bench.", "Take a part with a higher direct voltage, or lower the charging voltage and record it. Read ratings off the datasheet, never off a rating for alternating voltage.";
    LoadVoltageWindow: "Each load works from the sagging empty battery up to the highest voltage.", "A drive that cuts out under load stops the vehicle on a crossing; one above its window is destroyed.", "Raise the cut-off of the cells, shorten or thicken cables, or take another load. The window is in the load's datasheet.";
    ParallelStringsAlike: "Strings in parallel have the same cells in series, the same full voltage and the same chemistry.", "Unlike strings charge each other with currents that nothing limits.", "Rebuild with like strings. Count cells; state chemistry for each battery.";
    StringCurrentShare: "The largest current of each string, as the network divides it, stays within what its cells allow, in both directions.", "The string with the shortest cable carries most and ages first.", "Make cables of all strings alike, or lower the limit. The limit of a cell is in its datasheet.";
    StringJoinWindow: "The difference of voltage at which a string may be joined drives no more current than contactor, cells and fuse stand, and is at most 1.5 V where no resistor evens it out; the measured voltages are right to half of it, and to half of what is left to those limits; the other strings feed no more into a shorted one than its fuse breaks.", "A window of a few volts through milliohms is hundreds of amperes: it welds contacts. Two measured voltages are compared: an error of half the window keeps equal strings apart, or joins strings that are twice as far apart.", "Narrow the window or join through the precharge resistor. State closes-within of that resistor, or join-window under [controller], and voltage-error beside it; better sensors, or zeroing them against each other at one voltage, make it smaller.";
    StringJoinSymmetric: "The difference is tested at every closing of every string, the first and after a drop-out included; a timed precharge does not replace it.", "A timed precharge onto a live bus closes on whatever difference there is.", "Change the logic of the controller, test each order of closing, and attest it.";
    StringLostLimit: "With one string lost the others can carry what all of them carried, or somebody attests that the controller lowers its limit.", "A lost string loads the rest by half as much again, or double.", "Put a derating table by number of closed strings into the controller, or state what it keeps for each string: string-limit and string-charge-limit under [controller]; test it and attest.";
    LoopWithoutFuse: "A short between any two conductors that leave a box meets a fuse that can break it.", "A loop without fuse feeds the arc until the cable is gone.", "A fuse in each box. Until this is computed: draw every pair of cables that leaves a box and trace the loop by finger.";
    ShortCircuitKnown: "The largest and the smallest short-circuit current are known at every point.", "No breaking rating can be judged without them.", "Measure the resistance of the pack by a load step: voltage change over current change after some seconds.";
    ServiceDisconnectPlace: "With the service disconnect out, no piece keeps more than half of the highest voltage, and at most 120 V where it is opened for service.", "It only helps where it divides the battery.", "Move the link or add one.";
    ServiceDisconnectUse: "It can be pulled by hand within ten seconds, without tools for body panels, and its interlock opens the contactors first.", "A link pulled under load draws an arc in the hand.", "Add an interlock; try it with the clock; attest.";
    BoxCableDeadWhenOff: "With all contactors open no cable outside a box stays joined to a battery, or somebody stands for guard and label of each that does.", "Whoever cuts into a vehicle trusts that off is off.", "A contactor in the box; else guard the cable, label it always live, list it on the rescue card and attest.";
    ConductorTemperature: "The steady temperature in the hottest piece of the route, at the worst r.m.s. current, stays 10 K below the class of the cable.", "Insulation above its class hardens and cracks within months.", "Next section, a cooler route, a heat shield, or a higher class. Measure the air along the route with a thermometer after an hour of work.";
    ConductorPeakTemperature: "The highest temperature of the repeating duty stays within the class.", "Short peaks add to a warm cable.", "As for conductor-temperature; shorten the peak in the controller.";
    DutyWindow: "The r.m.s. current is taken over a window no longer than the time constant of the cable in its place.", "An average over an hour hides the minute that burns.", "Nothing to do: the study chooses the window.";
    TerminalTemperature: "The end of the conductor is no hotter than its terminal and lug allow.", "Contactors, fuses and inverters are rated with cool cables; many stand 85 to 105 degC only.", "A larger section for the last metre, a better joint, or another device. Measure the joint with a milliohm meter; the limit is in the device's sheet.";
    ConductorShortCircuit: "The cable survives what its fuse lets through.", "A cable that burns before its fuse is the fuse.", "A smaller fuse or a larger cable. Until this is computed: total I2t against (k S)2.";
    ReducedSectionTap: "Every thinner conductor that leaves a thicker one has its own fuse within 0.3 m.", "The large fuse does not see the small cable burn.", "Add a fuse at the tap.";
    OverloadOwner: "The rated current of the fuse, or a named limit of the controller, keeps lasting overload off the cable.", "Between what a cable carries and what melts the fuse nobody acts.", "A smaller fuse, a larger cable, or a limit that the controller keeps: discharge-limit and charge-limit, or string-limit, under [controller].";
    VoltageDrop: "The drop from the source to each load stays within 2 percent on the high-voltage side and 3 percent on the low-voltage side.", "Drop is lost power, and dim lamps.", "Larger section or shorter way.";
    CableVoltageClass: "The voltage class of the cable is at least the highest voltage.", "Insulation that was not made for the voltage fails in the wet.", "Another cable. The class is printed on it: 900 V d.c. (600 V a.c.) or 1500 V d.c. (1000 V a.c.).";
    CableMarked: "The print on the cable proves section, temperature and voltage class.", "An unmarked cable is a guess.", "Photograph the print, attest; replace what has none.";
    ParallelConductorsEqual: "Conductors between the same two terminals have the same cable, and lengths within 5 percent.", "The shorter one carries more than its share.", "Rework to equal lengths, lugs and route.";
    GroupingAndSleeve: "Tube and bundle are stated for each piece of every route.", "A bundle of six carries little more than half.", "State laid and circuits for each piece; count loaded circuits, not wires.";
    OutgoingAndReturnTogether: "Both poles of each circuit run side by side.", "A wide loop radiates and adds inductance to every fault.", "Re-route; photograph; attest.";
    FuseDcVoltage: "The rated direct voltage of each fuse is at least the highest voltage.", "A fuse above its direct voltage melts and keeps arcing.", "Another fuse. A rating for alternating voltage is no evidence; the direct one is often half of it.";
    FuseTimeConstant: "L/R of the fault stays within that of the fuse's test.", "A slower decay of current outlasts the fuse.", "Another fuse, or its derated voltage.";
    FuseBreakingCapacity: "The breaking capacity is at least the largest prospective current, other strings included.", "Above it a fuse bursts.", "Another fuse. Until this is computed: highest voltage over the least resistance of all strings in parallel.";
    FuseContinuous: "The r.m.s. current of each operation stays within the rated current times what air, holder and altitude leave.", "A fuse worked hot melts without fault.", "A larger fuse, then look at the cable again. State the derating curve and the holder's share from the datasheet.";
    FuseCyclic: "Each repeated current stays below half of what melts the fuse in the same time.", "Pulses fatigue the element; it opens on a hill.", "A larger rated current. Points of the melting curve are in the datasheet.";
    FuseLowCurrentGap: "From what a partial-range fuse breaks down to its rated current a contactor opens, in time.", "In the gap the fuse burns without breaking.", "Another fuse, or a trip of the controller inside the band.";
    FuseContactorMatch: "Peak and I2t that the fuse lets through stay below what the closed contactor stands.", "Contacts lift at kiloamperes and weld.", "A faster fuse or a stronger contactor.";
    FuseSelectivity: "A branch fuse clears before the main fuse has begun to melt.", "A fault in the heater must not stop the drive.", "Choose again: total I2t at most three quarters of the melting I2t upstream.";
    FuseFedByCapacitor: "The discharge of the link capacitor into a fault in a branch neither bursts its fuse nor welds a contactor.", "Capacitors give kiloamperes at once.", "Tell the owner; look at the fuse's peak rating.";
    FusePerStringAtSource: "Each string has a fuse of its own before anything else joins it.", "A fuse after the junction does not see one string feed the other's fault.", "Move the fuse, or add one to each string, in its box.";
    FuseToolAndSpares: "Fuses are reached with a tool only; spares of the same type are carried; the label states the full type.", "The wrong spare is worse than none.", "Label, buy, attest.";
    BothPolesSwitched: "With all contactors open neither end of a string leads to a load.", "One open pole leaves the other to touch.", "Add a contactor in the other pole.";
    ContactorCarry: "The r.m.s. current, the air and the section on the terminals are those that the rated current was stated with, or milder.", "Contactors are cooled by their cables.", "A larger contactor, thicker cable on it, or a cooler place. All three figures are in its datasheet.";
    ContactorMake: "The current at closing stays within what the contactor makes.", "A hard closing welds.", "A higher threshold of precharge, fewer volts left. State closes-within of the precharge resistor and make of the contactor.";
    ContactorBreak: "In its main direction the largest current of all phases stays within what the contactor breaks at the highest voltage.", "A contactor that cannot break burns its box.", "Ramp the current down first and state it: opens-discharging and opens-charging under [controller]; or a stronger part. The breaking current belongs to a voltage: state both.";
    ContactorDirection: "The arrow of a polarised contactor is stated, and what flows the other way (regeneration, charging) stays within its reverse breaking current.", "The wrong way round a polarised part breaks a tenth of its rating.", "Turn the part round, or take one without polarity. Look at the arrow and write it down; in the negative pole it is mirrored.";
    ContactorVoltage: "Voltage and altitude stay within those of the contactor.", "Thin air breaks arcs badly.", "Another part.";
    CoilSupply: "Each hot coil gets its pull-in voltage at the lowest supply and does not drop out in dips.", "A contactor that chatters under load welds.", "Thicker wires; measure at the coil while everything else is on. State lowest-supply and supply-dip under [controller], coil-wire of the contactor, rise of its coil.";
    CoilSuppression: "No bare diode lies across a coil.", "It slows the opening and lengthens the arc.", "Diode with zener, or the built-in suppression; attest.";
    ContactFeedback: "Each contactor has an auxiliary contact, or its voltage is sensed on both sides.", "A weld that nobody sees leaves the vehicle live.", "Add sensing; pull each coil's plug and watch the controller notice; attest.";
    OpenWithoutSoftware: "Interlock, crash switch and stop button open the coils in hardware.", "Software stops when it is needed.", "Wire them in series with the coils; test with the controller held; attest.";
    PrechargeEnergy: "The resistor survives one try, and as many in a row as the controller makes, three where nothing is stated.", "A burst resistor leaves the contactor to close hard.", "A part with more pulse energy, fewer tries, a pause between them. State pulse of the resistor, precharge-tries and precharge-pause under [controller].";
    PrechargePeak: "Peak current and power stay within relay and resistor.", "The first millisecond counts.", "More resistance. State peak-power of the resistor, make of the relay.";
    PrechargeStuck: "The resistor stands a shorted link or a stuck relay until the time-out.", "It becomes a heater in a closed box.", "A thermal cut-out, a shorter time-out. State time-out of the resistor.";
    PrechargeTime: "The threshold is reached before the time-out, with the largest capacitors and resistance and at both ends of the battery's voltage.", "A time-out that comes first never lets it start; a fixed time without a threshold closes on whatever is left.", "Close by voltage, stop by a time-out two to three times the time it needs. State closes-within and time-out of the resistor.";
    PrechargeStandingLoad: "What draws from the link during precharge lets it come up.", "The link stops below the threshold and the contactor closes on the rest, or never.", "Hold converters and compressors off until the contactor has closed. State idle and idle-from of each load, and what the phase of the precharge lets them draw.";
    PrechargeThreshold: "The voltage left at closing drives no more than the contactor makes.", "90 percent of 800 V leaves 80 V.", "Close by volts left, not by percent: closes-within of the resistor.";
    PrechargeAllPaths: "Every capacitor that a contactor reaches has a precharge.", "The forgotten heater welds the contactor.", "Add it. State link of each load, 0 F where it has none.";
    DischargePassive: "The time of the bleed resistor down to a touchable voltage is no longer than each label of the boxes it is in says.", "People open boxes after the time that is printed.", "Print it, or lower the resistance. State label-wait of the box.";
    DischargeActive: "The link is down to 60 V in 5 s, or 1 s where a connector parts without tool.", "A parted connector is a live contact.", "Active discharge, or a lock that needs a tool.";
    DischargeAgainstWeld: "The discharge resistor stands the whole voltage with a welded contactor until it is cut off, the bleed for ever.", "It burns otherwise.", "Timer and thermal cut-out. State time-out of the resistor, power and pulse of its type.";
    ShieldBothEnds: "The shield of each circuit that needs one ends all round at both ends; a pigtail stays within its length.", "A pigtail is an aerial.", "Shield gland or clamp. State the shield of both ends.";
    ShieldCutback: "From the edge of the shield to the bare conductor there is the creepage distance of the box.", "It tracks across in the wet.", "Cut back again. Measure with a calliper and record the reading at this end.";
    ShieldContinuity: "The shield measures at most twice its braid and 10 mohm.", "A shield that hangs loose is no shield.", "Clamp again. Four-wire milliohm meter from end to end; state the braid from its datasheet.";
    ShieldNotBond: "The shield is not the only bond of a box.", "It burns in the fault that a bond is for.", "Add a strap; attest.";
    UnshieldedJustified: "Circuits to inverters, chargers and converters are shielded; others run in metal or as a tight pair away from low-voltage wiring.", "Radios, sensors and brakes suffer.", "Shield it, or state route and noise.";
    Clearance: "Each way through air is at least what impulse, altitude and kind of insulation ask for.", "It flashes over at the first surge.", "A barrier or more space. Measure with a calliper and state it as [[spacing]] of its box.";
    Creepage: "Each way over a surface is at least what voltage, pollution degree and material ask for.", "Dirt and damp track across; it starts small and ends as a fire.", "Slots, ribs, another material, or a cleaner box. Measure along the surface and state it as [[spacing]]; the tracking index is in the material's sheet.";
    ReinforcedToLv: "Between high voltage and low-voltage wiring there is reinforced insulation.", "Otherwise one fault puts the battery on the radio.", "Barrier or distance. Measure it and state it with insulation = \"reinforced\".";
    PollutionByBox: "The pollution degree of each box is kept by something that somebody looked at: seal, breather, no condensation.", "A box that breathes wet air is as dirty as its zone.", "Treat it as degree 3, or seal it; attest.";
    BoxDrainBreather: "Breather fitted, no pocket for water, glands from below.", "Sealed boxes fill with water.", "Rework; attest.";
    LoosePartSafe: "A nut that falls inside bridges no poles.", "It will fall.", "Barriers between poles; attest with a photo.";
    IsolationLimit: "The isolation resistance of the whole vehicle is at least 100 ohm per volt, or 500 where alternating current is connected.", "The first fault is silent; the second one kills.", "Trace by halves. Insulation tester at the highest voltage or more, battery disconnected at its terminals; record it as a reading of the vehicle.";
    IsolationNewBuild: "New and dry it is five times that.", "It only gets less.", "Trace before hand-over.";
    IsolationBudget: "All parts in parallel keep the limit.", "Ten good parts can make one bad vehicle.", "Better parts. The isolation of each load is in its datasheet.";
    YCapacitorEnergy: "The capacitors to chassis hold less than 0.2 J at the highest voltage.", "Touching one pole gets all of it.", "Fewer filters, or another protection. State y of each load, 0 where it has none.";
    IsolationMonitorRange: "The isolation monitor works with the capacitance and voltages of the vehicle and alarms within 30 s above the limit.", "A monitor outside its range says nothing.", "Another monitor; state its datasheet under [vehicle].";
    OneMonitorAtATime: "The vehicle's monitor is off or passive while a station monitors.", "Two of them disturb each other.", "Switch it by the inlet contactor; try it; attest.";
    BondResistance: "Each conductive box measures less than 0.1 ohm to chassis with at least 0.2 A.", "A box without bond is live after one fault.", "Strap on bare metal. Four-wire milliohm meter; record it as a reading of the box with test-current.";
    BondSection: "The strap carries the fault of a first and a second box until the fuse clears.", "A strap that melts is none.", "A larger strap.";
    LvAndHvSeparate: "No low-voltage conductor is joined to high voltage: measured at each converter.", "The low-voltage side is touched every day.", "Find the joint. Insulation reading between both sides, recorded at the converter.";
    TouchProtection: "With covers on, a 1 mm wire inside the cab and a finger elsewhere reach nothing live; covers need a tool.", "This is what a child tries.", "Cover; probe; attest each box.";
    InterlockComplete: "Every connector and cover that opens by hand is in the interlock loop.", "One that is left out is the one that is opened.", "Add it; open each in turn; attest.";
    StopAndCrash: "A stop within reach of the driver and a crash or roll switch open both poles.", "Nobody reaches under the bonnet in a ditch.", "Add; test; attest.";
    LugFitsCable: "The barrel is made for 0.95 to 1.2 times the section of the cable.", "Strands that are cut to fit carry nothing; a loose barrel heats.", "The right lug; never trim strands. Barrel and cable in true mm2, not in gauge.";
    LugFitsStud: "The hole fits the stud within 1 mm and the metal beside it is at least the section of the cable.", "A palm that touches on its rim heats.", "Reorder. Measure stud and palm with a calliper; state them.";
    JointStack: "Copper on copper; no washer, plastic or steel in the way of the current.", "A steel washer is a heater.", "Rebuild; photograph; attest.";
    JointTorque: "Each joint is tightened by the table, marked, and initialled twice.", "Loose joints burn boxes.", "Tighten again with a calibrated wrench; attest.";
    JointResistance: "Each joint measures at most 1.5 times the best on the same cable.", "The odd one out is the one that burns.", "Open, clean, rebuild. Milliohm meter across the joint, or millivolts at a known current; record it with its end.";
    GlandFitsCable: "The cable fits the range of its gland; a shielded circuit has one that clamps the shield.", "A loose gland lets water in.", "Another gland. Calliper on the cable; range on the gland.";
    InletDead: "With all contactors open the pins of a direct-current inlet lead nowhere, in both poles.", "The pins can be touched.", "Two contactors behind the inlet.";
    DriveInhibit: "The vehicle cannot drive while it is plugged in.", "It takes the station with it.", "Try it with each plug; attest.";
    DcInletMatch: "Voltages are matched before closing, the cable stands a full hour, the isolation is above the station's threshold.", "Stations refuse, or contacts weld.", "Read the station's limits, look at the log; attest.";
    ChargeEarth: "The protective conductor of each charging source measures less than 0.1 ohm to chassis.", "A charger without earth makes the body live.", "Repair. Milliohm meter from the pin to chassis; record it at the source.";
    ConverterCapacity: "Each converter delivers what its loads draw together in the worst phase.", "The battery makes up the rest until it is flat.", "A larger converter, or fewer loads at once.";
    LvReserve: "With no converter half of the low-voltage battery feeds steering, brakes, lamps and coils for 20 minutes.", "You have to stop at the roadside, with lamps.", "A larger battery and a warning lamp. State essential for each load.";
    BrakeVacuumReserve: "Three full strokes of the brake are left without supply.", "The fourth is hard.", "A tank and an alarm. Count strokes until the pedal hardens; record the count at the vehicle. Without vacuum brakes attest this rule.";
    AuxOwnFuse: "Each heater, compressor, converter and charger has a fuse of its own.", "The main fuse does not see a thin cable burn.", "Add a fuse at its tap.";
    BendRadius: "No bend is tighter than the datasheet, else 4 times the diameter fixed and 6 times moving.", "Strands break inside.", "Re-route; attest.";
    ClipSpacing: "Supports: the first within 120 mm of a connector, then each 300 mm, 200 mm up to 16 mm2.", "Cables saw through what they hang on.", "Add clips; attest.";
    HeatAndMotion: "100 mm from hot parts or a shield, 50 mm from moving ones, grommets at edges, clear of the ground.", "This is how most cables die.", "Re-route; measure; attest.";
    OrangeAndSymbol: "High-voltage cables outside boxes are orange, no low-voltage cable is, boxes carry the warning sign.", "Rescuers cut what is not orange.", "Sleeve; label; attest.";
    IdBothEnds: "Each cable carries its id at both ends as in the wire schedule.", "Whoever mends it next needs it.", "Print; count two for each cable; attest.";
    InsulationTestLevel: "The insulation was tested at the highest voltage or more.", "A multimeter finds no weak insulation.", "Repeat with a higher range, battery disconnected at its terminals, until the reading stands.";
    HipotScope: "A withstand test was made on bare harness and boxes only, everything electronic disconnected.", "It destroys electronics and monitors.", "List what was disconnected; attest.";
    EnergisingOrder: "The voltage of each battery was read before the first closing and lies between empty and full.", "A wrong link shows here or in smoke.", "Fill in the test points in order; first closing with a limited source. Record a voltage at each battery.";
    MeasuredVsComputed: "The time constant of the precharge is within 20 percent of what was computed, discharge and drop at most 30 percent above.", "A difference is a hidden load or a wrong entry.", "Explain it before hand-over. Record precharge at the resistor, discharge at a load of the link, drop and current at the conductor.";
    ContactorLog: "Closings of each contactor stay below its endurance.", "Contacts wear.", "Replace. Read the counter and record the count at the contactor.";
    PapersComplete: "Diagram, fault table, schedule, test sheet, rescue card, change notes and deviations are there, of one revision.", "Without papers nobody can work on it safely.", "Complete; attest.";
}
