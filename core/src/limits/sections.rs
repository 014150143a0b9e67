//! Every value that the monitors work with, by group.

#[cfg(feature = "text")]
use super::field::Shown;
use super::field::{Part, Stored, Values, Words};
use super::image::{Reader, Writer};
use super::plan::{Field, Range, Step, count_numbers, count_once, once, plan};

/// Points of a band of currents.
pub const BAND_POINTS: usize = 6;

/// Moments of a band, s.
pub const BAND_S: [f32; BAND_POINTS] = [0.05, 0.3, 1.0, 5.0, 30.0, 300.0];

/// Share of the range of a current sensor from which it is saturated (own choice): the last
/// counts of a converter are not believed.
pub(crate) const SATURATED: f32 = 0.99;

/// Stands for "none" where a value refers to an entry of a list.
pub const NONE: u8 = 255;

sections! {
    /// Voltages of the pack.
    Pack {
        #[doc = "Lowest voltage that the pack has while it works, sag included"]
        lowest_v: f32 = "V", 1.0, 1500.0;
        #[doc = "Highest voltage that the pack has while it works, charging included"]
        highest_v: f32 = "V", 1.0, 1500.0;
        #[doc = "Voltage that may be touched"]
        touchable_v: f32 = "V", 1.0, 200.0;
    }

    /// What sensors are trusted with.
    Sensors {
        #[doc = "Largest error between two measured voltages, as a share of the pack voltage"]
        voltage_share: f32 = "", 0.0, 0.2;
        #[doc = "Largest error between two measured voltages, added to the share"]
        voltage_offset_v: f32 = "V", 0.0, 50.0;
        #[doc = "Highest voltage that a voltage sensor shows"]
        voltage_range_v: f32 = "V", 10.0, 3000.0;
        #[doc = "What lies between the cells and the link, fuses, contactors and cables: it adds its drop"]
        drop_ohm: f32 = "ohm", 0.0, 10.0;
        #[doc = "How long two voltages have to differ"]
        differ_ms: f32 = "ms", 1.0, 60000.0;
        #[doc = "Slope of the current above which two voltages are not compared"]
        ramp_a_per_s: f32 = "A/s", 1.0, 1.0e6;
        #[doc = "Oldest age of the link's voltage and of a current"]
        fast_age_ms: f32 = "ms", 1.0, 10000.0;
        #[doc = "Oldest age of a string's voltage, a switch, a contact, a speed or the low voltage"]
        switch_age_ms: f32 = "ms", 1.0, 60000.0;
        #[doc = "Oldest age of a temperature"]
        slow_age_ms: f32 = "ms", 1.0, 600000.0;
        #[doc = "Longest time between two ticks"]
        tick_ms: f32 = "ms", 1.0, 10000.0;
    }

    /// When the main contactors may close.
    Close {
        #[doc = "Largest voltage across the contactor that closes"]
        within_v: f32 = "V", 0.1, 500.0;
        #[doc = "Largest slope of the link voltage"]
        slope_v_per_s: f32 = "V/s", 0.1, 100000.0;
        #[doc = "Largest current"]
        current_a: f32 = "A", 0.01, 100.0;
        #[doc = "How long all of that has to hold"]
        stable_ms: f32 = "ms", 1.0, 60000.0;
        #[doc = "How long an uncharged link has to be seen before precharge begins"]
        dead_ms: f32 = "ms", 1.0, 60000.0;
    }

    /// The link and what discharges it.
    Link {
        #[doc = "Largest capacitance between the poles"]
        capacitance_f: f32 = "F", 1.0e-12, 100.0;
        #[doc = "Largest resistance that bleeds it always"]
        bleed_ohm: Option<f32> = "ohm", 1.0e-3, 1.0e9;
        #[doc = "Largest resistance of the active discharge"]
        discharge_ohm: Option<f32> = "ohm", 1.0e-3, 1.0e9;
        #[doc = "Time in which the link has to be below the touchable voltage after opening"]
        off_ms: Option<f32> = "ms", 1.0, 1.0e7;
        #[doc = "How long the active discharge may stay on while the voltage does not fall"]
        stuck_ms: f32 = "ms", 1.0, 60000.0;
        #[doc = "Share of its voltage that the link loses until a contactor counts as open"]
        weld_share: f32 = "", 0.01, 0.9;
    }

    /// One precharge path.
    Precharge {
        #[doc = "Contactor that is its relay"]
        relay: u8 = "", 0.0, 255.0;
        #[doc = "Resistance"]
        resistance_ohm: f32 = "ohm", 1.0e-3, 1.0e6;
        #[doc = "Capacitance that it charges"]
        capacitance_f: f32 = "F", 1.0e-12, 100.0;
        #[doc = "How far the voltage may be below the expected one, as a share of the pack voltage"]
        below_share: f32 = "", 0.01, 0.9;
        #[doc = "How far the voltage may be above the expected one, as a share of the pack voltage"]
        above_share: f32 = "", 0.01, 0.9;
        #[doc = "Share of the pack voltage that a shorted link does not pass"]
        short_share: f32 = "", 0.01, 0.5;
        #[doc = "Share of the first current below which the path counts as open"]
        open_share: f32 = "", 0.01, 0.9;
        #[doc = "Rise in one time constant, as a share of the pack voltage, below which the link stands still"]
        stand_share: f32 = "", 0.001, 0.5;
        #[doc = "Longest time until the relay has pulled in"]
        pull_in_ms: f32 = "ms", 0.0, 1000.0;
        #[doc = "How long a finding has to last"]
        lasts_ms: f32 = "ms", 1.0, 10000.0;
        #[doc = "Longest time that the relay stays closed"]
        time_out_ms: f32 = "ms", 1.0, 600000.0;
        #[doc = "Tries whose heat the resistor stands together"]
        tries: f32 = "", 1.0, 100.0;
        #[doc = "Wait after the last of them"]
        wait_ms: f32 = "ms", 1.0, 1.0e7;
        #[doc = "Time constant of the resistor's cooling"]
        cooling_ms: f32 = "ms", 1.0, 1.0e7;
    }

    /// Something that draws from the link while it is precharged.
    Standing {
        #[doc = "What it draws: 0 power in W, 1 current in A, 2 through a resistance in ohm"]
        kind: u8 = "", 0.0, 2.0;
        #[doc = "How much"]
        amount: f32 = "W, A or ohm", 0.0, 1.0e6;
        #[doc = "Voltage from which it draws"]
        from_v: f32 = "V", 0.0, 1500.0;
    }

    /// One contactor.
    Switch {
        #[doc = "What it does: 0 positive, 1 negative, 2 precharge relay, 3 of a load behind the link, 4 of a source there"]
        role: u8 = "", 0.0, 4.0;
        #[doc = "String that it switches; 255 for all of them"]
        string: u8 = "", 0.0, 255.0;
        #[doc = "Current that flows through it"]
        channel: u8 = "", 0.0, 255.0;
        #[doc = "Whether an auxiliary contact of it is read"]
        feedback: u8 = "", 0.0, 1.0;
        #[doc = "Whether its current flows nowhere else: then it is closed while that flows"]
        only_way: u8 = "", 0.0, 1.0;
        #[doc = "Largest discharge current that it breaks"]
        breaks_discharge_a: f32 = "A", 0.0, 1.0e6;
        #[doc = "Largest charge current that it breaks"]
        breaks_charge_a: f32 = "A", 0.0, 1.0e6;
        #[doc = "Longest time from the command to closed contacts"]
        closing_ms: f32 = "ms", 1.0, 10000.0;
        #[doc = "Longest time from the end of the command to open contacts"]
        opening_ms: f32 = "ms", 1.0, 10000.0;
        #[doc = "How long it is held closed above its breaking current at least, for the fuse to act"]
        hold_ms: f32 = "ms", 1.0, 600000.0;
    }

    /// Opening without load.
    Opening {
        #[doc = "Current below which opening does not count as under load"]
        soft_a: f32 = "A", 0.1, 100.0;
        #[doc = "Time after which it is opened anyway"]
        time_out_ms: f32 = "ms", 1.0, 60000.0;
        #[doc = "Time from the request of zero current until a current is believed"]
        settle_ms: f32 = "ms", 1.0, 1000.0;
    }

    /// One measured current.
    Channel {
        #[doc = "What it is: 0 pack, 1 string, 2 branch"]
        kind: u8 = "", 0.0, 2.0;
        #[doc = "String that it is of; 255 for none"]
        string: u8 = "", 0.0, 255.0;
        #[doc = "Highest current that its sensor shows; at it the sensor is saturated"]
        range_a: f32 = "A", 0.1, 1.0e6;
        #[doc = "Lasting discharge current"]
        discharge_a: f32 = "A", 0.0, 1.0e6;
        #[doc = "Lasting charge current"]
        charge_a: f32 = "A", 0.0, 1.0e6;
        #[doc = "Time below the lasting current after which an overload is forgotten"]
        rest_ms: f32 = "ms", 1.0, 1.0e7;
        #[doc = "Currents of the overload band, largest first"]
        band_a: [f32; BAND_POINTS] = "A", 0.0, 1.0e6;
        #[doc = "Joule integral that may flow at each of them"]
        band_a2s: [f32; BAND_POINTS] = "A2s", 1.0e-6, 1.0e15;
        #[doc = "Joule integral that melts its fuse at each of them, read early; 0 for none"]
        fuse_a2s: [f32; BAND_POINTS] = "A2s", 0.0, 1.0e15;
        #[doc = "Currents that melt its fuse within 0.05, 0.3, 1, 5, 30, 300 s at the latest; 0 for no fuse, 1e6 for none that is known"]
        late_a: [f32; BAND_POINTS] = "A", 0.0, 1.0e6;
        #[doc = "Rated current of its fuse"]
        fuse_a: Option<f32> = "A", 0.01, 1.0e6;
        #[doc = "Current above which the controller trips"]
        trip_a: Option<f32> = "A", 0.01, 1.0e6;
        #[doc = "Time from that current to the advice, what contactors take to open left out"]
        trip_ms: f32 = "ms", 1.0, 10000.0;
        #[doc = "Current up to which its sensor is known to show what flows; nothing is opened on more"]
        sure_a: f32 = "A", 0.0, 1.0e6;
    }

    /// One string.
    StringLimit {
        #[doc = "Resistance up to where strings meet"]
        resistance_ohm: f32 = "ohm", 1.0e-6, 1.0e3;
        #[doc = "Largest discharge current"]
        discharge_a: f32 = "A", 0.0, 1.0e6;
        #[doc = "Largest charge current"]
        charge_a: f32 = "A", 0.0, 1.0e6;
    }

    /// Strings in parallel.
    Parallel {
        #[doc = "Largest difference at which strings are joined"]
        join_v: f32 = "V", 0.01, 100.0;
        #[doc = "How long it has to hold"]
        join_ms: f32 = "ms", 1.0, 60000.0;
        #[doc = "Current below which a voltage is at rest"]
        rest_a: f32 = "A", 0.01, 100.0;
        #[doc = "Difference at which joined strings have drifted apart"]
        drift_v: f32 = "V", 0.1, 100.0;
        #[doc = "How long it has to last"]
        drift_ms: f32 = "ms", 1.0, 600000.0;
        #[doc = "How far the share of a string may be from the expected one"]
        share: f32 = "", 0.01, 1.0;
        #[doc = "Share of the lasting current below which shares are not judged"]
        share_gate: f32 = "", 0.01, 1.0;
        #[doc = "How long a share has to be off"]
        share_ms: f32 = "ms", 1.0, 600000.0;
    }

    /// Isolation resistance.
    Isolation {
        #[doc = "Limit"]
        alarm_ohm_per_v: f32 = "ohm/V", 10.0, 1.0e5;
        #[doc = "Warned of below this many ohms per volt"]
        warn_ohm_per_v: f32 = "ohm/V", 10.0, 1.0e6;
        #[doc = "How long it has to be low"]
        low_ms: f32 = "ms", 1.0, 600000.0;
        #[doc = "The same after a contactor moved"]
        changed_ms: f32 = "ms", 1.0, 600000.0;
        #[doc = "The same after charging began"]
        charging_ms: f32 = "ms", 1.0, 600000.0;
        #[doc = "Response time of the isolation monitoring device"]
        response_ms: f32 = "ms", 1.0, 600000.0;
        #[doc = "Highest resistance that it shows"]
        range_ohm: f32 = "ohm", 1.0e3, 1.0e12;
    }

    /// The interlock loop, the charging plug, standing still.
    Interlock {
        #[doc = "How long it has to be open"]
        open_ms: f32 = "ms", 1.0, 1000.0;
        #[doc = "Speed below which it leads to opening"]
        slow_km_per_h: f32 = "km/h", 0.1, 50.0;
        #[doc = "Highest speed that the sensor shows"]
        range_km_per_h: f32 = "km/h", 1.0, 1000.0;
        #[doc = "Speed above which the vehicle moves"]
        moves_km_per_h: f32 = "km/h", 0.1, 50.0;
        #[doc = "How long it has to move while plugged"]
        plug_ms: f32 = "ms", 1.0, 10000.0;
    }

    /// Supply of the coils.
    Coils {
        #[doc = "Lowest voltage that holds all of them"]
        hold_v: f32 = "V", 1.0, 100.0;
        #[doc = "Highest voltage that the sensor shows"]
        range_v: f32 = "V", 1.0, 200.0;
        #[doc = "How long it has to be lower"]
        dip_ms: f32 = "ms", 1.0, 1000.0;
        #[doc = "Time in which a contactor has to be closed again after pull-in"]
        again_ms: f32 = "ms", 1.0, 10000.0;
    }

    /// Measured temperatures.
    Heat {
        #[doc = "Highest temperature of the precharge resistor"]
        resistor_degc: f32 = "degC", 20.0, 1000.0;
        #[doc = "Highest temperature of a joint"]
        joint_degc: f32 = "degC", 20.0, 300.0;
        #[doc = "Largest difference between the same joint of both poles"]
        joint_difference_k: f32 = "K", 1.0, 200.0;
        #[doc = "How long it has to last"]
        hot_ms: f32 = "ms", 1.0, 600000.0;
    }

    /// How one conductor warms.
    Circuit {
        #[doc = "Current that flows through it"]
        channel: u8 = "", 0.0, 255.0;
        #[doc = "Hottest surroundings"]
        air_degc: f32 = "degC", -80.0, 500.0;
        #[doc = "Temperature class"]
        limit_degc: f32 = "degC", 0.0, 1000.0;
        #[doc = "Temperature at the start, as its duty leads to"]
        start_degc: f32 = "degC", -80.0, 1000.0;
        #[doc = "Heat per ampere squared at the temperature of the surroundings, shield included"]
        heat_ohm_per_m: f32 = "ohm/m", 1.0e-9, 1.0e3;
        #[doc = "How it grows with temperature"]
        growth_per_k: f32 = "1/K", 0.0, 0.1;
        #[doc = "Heat that comes without current"]
        added_w_per_m: f32 = "W/m", 0.0, 1.0e5;
        #[doc = "Heat capacity that warms with the conductor"]
        inner_j_per_m_k: f32 = "J/(m K)", 1.0e-3, 1.0e8;
        #[doc = "Heat capacity that cools with the conductor"]
        cooling_j_per_m_k: f32 = "J/(m K)", 1.0e-3, 1.0e8;
        #[doc = "Heat capacity that warms with the surface"]
        outer_j_per_m_k: f32 = "J/(m K)", 1.0e-3, 1.0e8;
        #[doc = "From the one to the other"]
        inner_w_per_m_k: f32 = "W/(m K)", 1.0e-6, 1.0e6;
        #[doc = "Slopes of the lines below which no heat is given off"]
        off_w_per_m_k: [f32; 3] = "W/(m K)", 1.0e-6, 1.0e6;
        #[doc = "What each line is lower at no rise"]
        off_w_per_m: [f32; 3] = "W/m", 0.0, 1.0e6;
    }
}
