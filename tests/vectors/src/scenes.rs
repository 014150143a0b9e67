//! Scenes with a name: limits out of their image, and what the monitors tell in every tick.

use orangeloom_core::limits::{Limits, MAX_IMAGE_BYTES};
use orangeloom_core::monitor::{
    CheckId, Finding, Flag, Inputs, MAX_KEPT_BYTES, Monitors, OpenRequest, Signal,
};

use crate::lines::{Fingerprint, Lines, bits};
use crate::monitor::quiet;
use crate::sample::Sample;

/// Limits of an invented vehicle with two strings, as a test of the core wrote them.
const IMAGE: &[u8] = include_bytes!("../../../core/src/limits/sample.image");

/// Contactors of the image: positive, negative, relay of the first string, of the second.
const POSITIVE: usize = 0;
const NEGATIVE: usize = 1;
const RELAY: usize = 2;
const SECOND: [usize; 2] = [4, 3];

pub(crate) fn cases(lines: &mut Lines<'_>) {
    type Play = fn(&mut Scene);
    let scenes: [(&str, Play); 9] = [
        ("scenes/precharge", |scene| scene.precharge(1.0, 600)),
        ("scenes/precharge_held_down", |scene| {
            scene.precharge(0.4, 2000);
        }),
        ("scenes/decay", |scene| scene.opened(1.0)),
        ("scenes/weld", |scene| scene.opened(0.0)),
        ("scenes/isolation", Scene::isolation),
        ("scenes/temperature", Scene::temperature),
        ("scenes/join", Scene::joining),
        ("scenes/restart", Scene::restart),
        ("scenes/anything", Scene::anything),
    ];
    for (name, scene) in scenes {
        lines.word(name, Scene::run(scene));
    }
}

struct Scene {
    limits: Limits,
    monitors: Monitors,
    inputs: Inputs,
    now_ms: u32,
    told: Fingerprint,
}

impl Scene {
    fn run(scene: fn(&mut Self)) -> u32 {
        let Ok(limits) = Limits::decode(IMAGE) else {
            return 0;
        };
        let mut inputs = Inputs {
            string_voltage: [Signal::now(360.0); 4],
            current: [Signal::now(0.0); 8],
            resistor: Some(Signal::now(25.0)),
            ..quiet()
        };
        for switch in &mut inputs.switches {
            switch.contact = Flag::now(false);
        }
        let mut one = Self {
            limits,
            monitors: Monitors::new(),
            inputs,
            now_ms: u32::MAX - 300,
            told: Fingerprint::default(),
        };
        let mut image = [0; MAX_IMAGE_BYTES];
        let length = one.limits.encode(&mut image).unwrap_or(0);
        for byte in image.iter().take(length) {
            one.told.add(u32::from(*byte));
        }
        one.ticks(20);
        scene(&mut one);
        one.told.finish()
    }

    fn tick(&mut self, after_ms: u32) {
        self.now_ms = self.now_ms.wrapping_add(after_ms);
        let told = &mut self.told;
        let summary = self.monitors.tick(
            &self.limits,
            self.now_ms,
            &self.inputs,
            &mut |finding: &Finding| {
                let check = CheckId::ALL.iter().position(|one| *one == finding.check);
                told.add(
                    check
                        .and_then(|place| u32::try_from(place).ok())
                        .unwrap_or(99),
                );
                told.add(u32::from(finding.part) << 8 | u32::from(finding.state as u8));
                told.add(finding.for_ms);
                told.add(bits(finding.measured));
                told.add(bits(finding.limit));
                told.add(u32::from(finding.advice.bits()));
            },
        );
        self.told.add(bits(summary.derate));
        self.told
            .add(u32::from(summary.held) << 16 | u32::from(summary.hot));
        for circuit in 0..3 {
            let degc = self.monitors.conductor_degc(&self.limits, circuit);
            self.told.add(bits(degc.unwrap_or(f32::NAN)));
        }
    }

    /// Of 10 ms each.
    fn ticks(&mut self, count: u32) {
        for _ in 0..count {
            self.tick(10);
        }
    }

    fn close(&mut self, switch: usize, on: bool) {
        if let Some(switch) = self.inputs.switches.get_mut(switch) {
            switch.commanded = on;
            switch.contact = Flag::now(on);
        }
    }

    fn draw(&mut self, amperes: f32) {
        let both = self.inputs.switches.get(3).is_some_and(|one| one.commanded);
        let share = if both { 0.5 } else { 1.0 };
        let shares = [1.0, share, 1.0 - share];
        for (current, share) in self.inputs.current.iter_mut().zip(shares) {
            *current = Signal::now(share * amperes);
        }
    }

    /// 100 ohm and 1 mF, up to a share of the string.
    fn precharge(&mut self, share: f32, for_ms: u32) {
        self.close(NEGATIVE, true);
        self.ticks(15);
        self.close(RELAY, true);
        for step in 0..for_ms / 10 {
            #[allow(clippy::cast_precision_loss)] // some hundred
            let taus = step as f32 * 0.1;
            let link = 360.0 * share * (1.0 - libm::expf(-taus));
            self.inputs.link_voltage = Signal::now(link);
            self.draw((360.0 - link) * 0.01);
            self.tick(10);
        }
    }

    fn drive(&mut self) {
        self.precharge(1.0, 600);
        self.close(POSITIVE, true);
        self.close(RELAY, false);
        self.inputs.link_voltage = Signal::now(359.5);
        self.draw(40.0);
        self.inputs.speed = Signal::now(50.0);
        self.ticks(50);
    }

    /// Opened while standing; the bleed, or nothing, pulls the link down.
    fn opened(&mut self, bleed: f32) {
        self.drive();
        self.inputs.speed = Signal::now(0.0);
        self.inputs.open = OpenRequest::Soft;
        self.ticks(3);
        self.draw(0.5);
        self.ticks(10);
        self.inputs.open = OpenRequest::None;
        self.close(POSITIVE, false);
        for step in 0..700_u16 {
            let link = 359.5 * libm::expf(-bleed * f32::from(step) * 0.01 / 36.0);
            self.inputs.link_voltage = Signal::now(link);
            self.inputs.discharging = step > 500;
            self.tick(10);
        }
    }

    fn isolation(&mut self) {
        let mut noise = Sample::new();
        for (ohms, count) in [(5.0e6, 100), (9.0e5, 1500), (1.0e5, 1500), (5.0e6, 2500)] {
            for _ in 0..count {
                let ohms = ohms * noise.between(0.98, 1.02);
                self.inputs.isolation = Signal::now(ohms);
                self.tick(10);
            }
        }
        self.inputs.isolation.age_ms = 30_000;
        self.ticks(100);
    }

    /// Ten minutes of pulses, in ticks of different length.
    fn temperature(&mut self) {
        self.drive();
        let mut sample = Sample::new();
        for _ in 0..60 {
            self.draw(sample.between(-150.0, 450.0));
            for _ in 0..100 {
                let after = 20 + u32::from(sample.up_to(160));
                self.tick(after);
            }
        }
    }

    fn joining(&mut self) {
        self.drive();
        self.inputs.speed = Signal::now(0.0);
        self.draw(0.0);
        for volts in [6.0, 0.5] {
            if let Some(string) = self.inputs.string_voltage.get_mut(1) {
                *string = Signal::now(359.5 + volts);
            }
            self.ticks(80);
        }
        for switch in SECOND {
            self.close(switch, true);
        }
        self.ticks(30);
        self.draw(150.0);
        self.ticks(100);
        // One of them carries nearly everything.
        for (current, amperes) in self.inputs.current.iter_mut().zip([150.0, 140.0, 10.0]) {
            *current = Signal::now(amperes);
        }
        self.ticks(1200);
    }

    fn restart(&mut self) {
        self.drive();
        self.draw(300.0);
        self.ticks(300);
        self.close(POSITIVE, false);
        if let Some(switch) = self.inputs.switches.get_mut(POSITIVE) {
            switch.contact = Flag::now(true);
        }
        self.ticks(50);
        let mut kept = [0; MAX_KEPT_BYTES];
        let length = self.monitors.keep(&self.limits, &mut kept);
        for byte in kept {
            self.told.add(u32::from(byte));
        }
        self.monitors = Monitors::new();
        let restored = self.monitors.restore(&self.limits, &kept);
        self.told
            .add(u32::from(length.is_ok()) << 1 | u32::from(restored.is_ok()));
        self.ticks(50);
    }

    /// Whatever comes in.
    fn anything(&mut self) {
        let mut sample = Sample::new();
        for _ in 0..500 {
            let s = &mut sample;
            let mut signal = |usual: f32| Signal {
                value: match s.up_to(3) {
                    0 => s.any(),
                    _ => usual * s.between(0.5, 1.2),
                },
                age_ms: u32::from(s.up_to(60)),
            };
            self.inputs.link_voltage = signal(360.0);
            self.inputs.string_voltage = [360.0; 4].map(&mut signal);
            self.inputs.current = [400.0; 8].map(&mut signal);
            self.inputs.isolation = signal(1.0e6);
            self.inputs.speed = signal(4.0);
            self.inputs.supply = signal(11.0);
            for switch in &mut self.inputs.switches {
                switch.commanded = sample.up_to(3) > 0;
                switch.contact.on = (sample.up_to(9) > 0).then_some(switch.commanded);
            }
            self.inputs.start = sample.up_to(1) > 0;
            let after = u32::from(sample.up_to(100));
            for _ in 0..4 {
                self.tick(after);
            }
        }
    }
}
