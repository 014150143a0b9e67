//! A simulated vehicle, in `f64`, written apart from the core.
//!
//! It only obeys: a controller commands its contactors and its drive, and reads its sensors.
//! Whatever is wrong is put into its public fields: a weld, a frozen sensor, water in a box.
//! It computes in steps of [`STEP`], with closed forms where the circuit is linear.
//!
//! | module | what it is |
//! |---|---|
//! | [`contactor`] | coil, travel, bounce, weld, auxiliary contact |
//! | [`isolation`] | resistance to chassis and the device that measures it |
//! | [`link`] | capacitor, resistors, standing loads |
//! | [`sensor`] | lag, noise, saturation, faults of a measuring chain |
//! | [`string`] | cells behind a resistance, precharge, fuse |
//! | [`warmth`] | a joint that warms |

pub mod contactor;
pub mod isolation;
pub mod link;
pub mod sensor;
pub mod string;
pub mod warmth;

use fastrand::Rng;
use isolation::Isolation;
use link::Link;
use sensor::{Sensed, Sensor};
use string::PackString;
use warmth::Joint;

/// Length of one step, s.
pub const STEP: f64 = 1e-3;

/// What a controller wants of one string.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct StringCommand {
    /// Close the positive contactor.
    pub positive: bool,
    /// Close the negative contactor.
    pub negative: bool,
    /// Close the precharge relay.
    pub precharge: bool,
}

/// What a controller wants.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Commands {
    /// Of each string.
    pub strings: Vec<StringCommand>,
    /// Switch the discharge resistor on.
    pub discharge: bool,
    /// Current that the drive is to draw, discharge counts positive, A.
    pub drive: f64,
}

/// The chains of one string.
#[derive(Clone, Copy, Debug)]
pub struct StringSensors {
    /// Terminal voltage, ahead of the fuse, V.
    pub voltage: Sensor,
    /// Current, A.
    pub current: Sensor,
}

/// Everything measured.
#[derive(Clone, Debug)]
pub struct Sensors {
    /// Of each string.
    pub strings: Vec<StringSensors>,
    /// Link voltage, V.
    pub link: Sensor,
    /// Current of the drive side, A.
    pub current: Sensor,
    /// Low-voltage supply, V.
    pub supply: Sensor,
    /// Temperature of the positive joint, degC.
    pub joint_positive: Sensor,
    /// Temperature of the negative joint, degC.
    pub joint_negative: Sensor,
    /// Temperature of the precharge resistor, degC.
    pub resistor: Sensor,
}

/// Things that the driver and the road do.
#[derive(Clone, Copy, Debug)]
pub struct Surroundings {
    /// Low-voltage supply, V.
    pub supply: f64,
    /// Speed, km/h; `None` when its sensor is dead.
    pub speed: Option<f64>,
    /// Something is plugged in.
    pub plugged: bool,
    /// The interlock loop is closed; `None` when nobody can tell.
    pub interlock: Option<bool>,
    /// Air around the joints, degC.
    pub air: f64,
}

/// The vehicle.
#[derive(Clone, Debug)]
pub struct Plant {
    /// Strings of the battery.
    pub strings: Vec<PackString>,
    /// Link capacitor and loads.
    pub link: Link,
    /// To chassis.
    pub isolation: Isolation,
    /// Joints of the positive and the negative main conductor, and the precharge resistor.
    pub joints: [Joint; 3],
    /// Measuring chains.
    pub sensors: Sensors,
    /// What happens around it.
    pub around: Surroundings,
    /// Current that the drive really draws, A: it needs a link of at least 20 V and follows
    /// within 10 ms.
    pub drawn: f64,
    /// Seconds since the start.
    pub time: f64,
    /// Times that a closed contactor parted with more than 2 A in it.
    pub parted_under_load: u32,
    rng: Rng,
}

impl Plant {
    /// A vehicle with these strings at rest. `seed` decides the noise.
    pub fn new(strings: Vec<PackString>, link: Link, seed: u64) -> Self {
        let highest = strings.iter().map(|s| s.rest).fold(0.0, f64::max);
        let volts = Sensor::new((0.0, 1.2 * highest), 5e-3, 0.1);
        let amperes = Sensor::new((-1500.0, 1500.0), 5e-3, 0.3);
        let celsius = Sensor::new((-50.0, 250.0), 0.5, 0.1);
        Self {
            sensors: Sensors {
                strings: vec![
                    StringSensors {
                        voltage: volts,
                        current: amperes
                    };
                    strings.len()
                ],
                link: volts,
                current: amperes,
                supply: Sensor::new((0.0, 40.0), 2e-3, 0.02),
                joint_positive: celsius,
                joint_negative: celsius,
                resistor: celsius,
            },
            strings,
            link,
            isolation: Isolation::new(5e6, 5e6, 2.0),
            joints: [Joint::MAIN, Joint::MAIN, Joint::RESISTOR],
            around: Surroundings {
                supply: 13.8,
                speed: Some(0.0),
                plugged: false,
                interlock: Some(true),
                air: 25.0,
            },
            drawn: 0.0,
            time: 0.0,
            parted_under_load: 0,
            rng: Rng::with_seed(seed),
        }
    }

    /// One step of [`STEP`].
    pub fn advance(&mut self, commands: &Commands) {
        self.advance_by(STEP, commands);
    }

    /// A step of this length: longer ones where nothing switches.
    pub fn advance_by(&mut self, step: f64, commands: &Commands) {
        let supply = self.around.supply;
        for (string, wanted) in self.strings.iter_mut().zip(&commands.strings) {
            let before = string.path();
            string.positive.advance(step, wanted.positive, supply);
            string.negative.advance(step, wanted.negative, supply);
            string.relay.advance(step, wanted.precharge, supply);
            // Bounce while it closes is no opening.
            let opens = !(wanted.negative && (wanted.positive || wanted.precharge));
            let parted = before.is_some() && string.path().is_none();
            if opens && parted && string.current.abs() > 2.0 {
                self.parted_under_load += 1;
            }
        }
        let wanted = if self.link.voltage < 20.0 {
            0.0
        } else {
            commands.drive
        };
        self.drawn = wanted + (self.drawn - wanted) * (-step / 10e-3).exp();
        let paths = self.strings.iter().filter_map(|string| {
            let ohm = string.path()?;
            Some((string.inner(), ohm))
        });
        let mean = self
            .link
            .advance(step, paths, self.drawn, commands.discharge);
        for string in &mut self.strings {
            let current = string
                .path()
                .map_or(0.0, |ohm| (string.inner() - mean) / ohm);
            string.advance(step, current);
        }
        self.warm(step);
        let live = self
            .strings
            .iter()
            .any(|s| s.positive.conducts() || s.negative.conducts());
        self.isolation.advance(step, live, &mut self.rng);
        self.sense(step);
        self.time += step;
    }

    /// Current out of all strings, A.
    pub fn current(&self) -> f64 {
        self.strings.iter().map(|s| s.current).sum()
    }

    /// Resistance to chassis as the device tells it, ohm.
    pub const fn isolation_told(&self) -> Option<Sensed> {
        self.isolation.told()
    }

    fn warm(&mut self, step: f64) {
        let current = self.current();
        let in_resistor = self
            .strings
            .iter()
            .filter(|s| !s.positive.conducts() && s.relay.conducts())
            .map(|s| s.current)
            .fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
        for (joint, current) in self.joints.iter_mut().zip([current, current, in_resistor]) {
            joint.advance(step, current, self.around.air);
        }
    }

    fn sense(&mut self, step: f64) {
        let rng = &mut self.rng;
        for (sensors, string) in self.sensors.strings.iter_mut().zip(&self.strings) {
            sensors.voltage.advance(step, string.terminal(), rng);
            sensors.current.advance(step, string.current, rng);
        }
        let current = self.strings.iter().map(|s| s.current).sum();
        let sensors = &mut self.sensors;
        sensors.link.advance(step, self.link.voltage, rng);
        sensors.current.advance(step, current, rng);
        sensors.supply.advance(step, self.around.supply, rng);
        let [positive, negative, resistor] = &self.joints;
        sensors
            .joint_positive
            .advance(step, positive.temperature, rng);
        sensors
            .joint_negative
            .advance(step, negative.temperature, rng);
        sensors.resistor.advance(step, resistor.temperature, rng);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn two(difference: f64) -> Plant {
        Plant::new(
            vec![
                PackString::new(400.0, 0.1, 47.0),
                PackString::new(400.0 - difference, 0.1, 47.0),
            ],
            Link::new(1.152e-3, 33e3, 1e3),
            1,
        )
    }

    fn run(plant: &mut Plant, commands: &Commands, seconds: f64) {
        let end = plant.time + seconds;
        while plant.time < end {
            plant.advance(commands);
        }
    }

    const CLOSED: StringCommand = StringCommand {
        positive: true,
        negative: true,
        precharge: false,
    };
    const CHARGING: StringCommand = StringCommand {
        positive: false,
        negative: true,
        precharge: true,
    };

    /// Two strings 6 V apart with 0.1 ohm each: 30 A pass between them (Ohm's law).
    #[test]
    fn strings_equalise_by_ohms_law() {
        let mut plant = two(6.0);
        for string in &mut plant.strings {
            string.slow_resistance = 0.0;
        }
        let commands = Commands {
            strings: vec![CLOSED, CLOSED],
            ..Commands::default()
        };
        run(&mut plant, &commands, 0.2);
        assert!((plant.strings[0].current - 30.0).abs() < 0.1);
        assert!((plant.strings[1].current + 30.0).abs() < 0.1);
        assert!((plant.link.voltage - 397.0).abs() < 0.1);
    }

    /// The resistor takes as much energy as the capacitor: C V2 / 2 = 92.2 J (textbook).
    #[test]
    fn the_precharge_resistor_takes_as_much_as_the_capacitor() {
        let mut plant = two(0.0);
        plant.link.bleed = 1e12;
        let commands = Commands {
            strings: vec![CHARGING],
            ..Commands::default()
        };
        run(&mut plant, &commands, 1.0);
        let stored = 0.5 * plant.link.capacitance * plant.link.voltage.powi(2);
        // Within 1.5 %: the first step's mean current is squared, not its course.
        assert!((plant.strings[0].precharge_heat / stored - 1.0).abs() < 0.015);
        assert!((stored - 92.16).abs() < 0.1);
    }

    #[test]
    fn a_welded_pole_alone_feeds_nothing_and_both_keep_the_link_up() {
        let mut plant = two(0.0);
        let closed = Commands {
            strings: vec![CLOSED],
            ..Commands::default()
        };
        run(&mut plant, &closed, 0.5);
        plant.strings[0].positive.damage = contactor::Damage::Welded;
        run(
            &mut plant,
            &Commands {
                strings: vec![StringCommand::default()],
                ..Commands::default()
            },
            60.0,
        );
        assert!(plant.link.voltage < 100.0);
        plant.strings[0].negative.damage = contactor::Damage::Welded;
        run(&mut plant, &Commands::default(), 0.5);
        assert!(plant.link.voltage > 399.0);
    }

    #[test]
    fn what_parts_under_load_is_counted_and_the_drive_needs_a_link() {
        let mut plant = two(0.0);
        let mut commands = Commands {
            strings: vec![CLOSED],
            drive: 100.0,
            ..Commands::default()
        };
        run(&mut plant, &commands, 0.5);
        assert!((plant.current() - 100.0).abs() < 0.1);
        commands.strings[0] = StringCommand::default();
        run(&mut plant, &commands, 0.5);
        assert_eq!(plant.parted_under_load, 1);
        assert!(plant.link.voltage < 25.0 && plant.drawn.abs() < 100.0);
    }

    #[test]
    fn the_same_seed_gives_the_same_run() {
        let mut one = two(1.0);
        let mut other = two(1.0);
        let commands = Commands {
            strings: vec![CLOSED, CLOSED],
            drive: 50.0,
            ..Commands::default()
        };
        run(&mut one, &commands, 0.3);
        run(&mut other, &commands, 0.3);
        assert_eq!(one.sensors.link.shown(), other.sensors.link.shown());
    }
}
