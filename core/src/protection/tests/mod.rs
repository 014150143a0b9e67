//! Tests of fuses and contactors. The curves are invented.

mod accumulator;
mod clearing;
mod coil;
mod contactor;
mod coordination;
mod extremes;
mod fuse;
mod guarded;
mod melting;
mod verdicts;
mod window;

use heapless::Vec;

use crate::design::{CurvePoint, FuseType, Index, TextId, Utilisation};
use crate::quantity::{Current, CurrentSquaredTime, Share, Time, Voltage};

/// Points of an invented 350 A fuse, A and s.
const POINTS: [[f32; 2]; 8] = [
    [15000.0, 0.0012],
    [8000.0, 0.005],
    [4000.0, 0.03],
    [2500.0, 0.15],
    [1500.0, 1.5],
    [1000.0, 12.0],
    [800.0, 60.0],
    [600.0, 1000.0],
];

fn amperes(amperes: f32) -> Current {
    Current::from_amperes(amperes).unwrap()
}

fn seconds(seconds: f32) -> Time {
    Time::from_seconds(seconds).unwrap()
}

fn volts(volts: f32) -> Voltage {
    Voltage::from_volts(volts).unwrap()
}

fn a2s(a2s: f32) -> CurrentSquaredTime {
    CurrentSquaredTime::from_a2s(a2s).unwrap()
}

fn share(fraction: f32) -> Share {
    Share::from_fraction(fraction).unwrap()
}

/// An unnamed fuse with this curve.
fn curve(points: &[[f32; 2]]) -> FuseType {
    let mut fuse = FuseType::new(TextId::at(0).unwrap());
    fuse.curve = points
        .iter()
        .map(|&[current, time]| CurvePoint {
            current: amperes(current),
            time: seconds(time),
        })
        .collect::<Vec<_, _, u8>>();
    fuse
}

/// The invented 350 A fuse with all its ratings.
fn fuse_350() -> FuseType {
    let mut fuse = curve(&POINTS);
    fuse.utilisation = Some(Utilisation::Gr);
    fuse.rated = Some(amperes(350.0));
    fuse.voltage = Some(volts(500.0));
    fuse.time_constant = Some(seconds(0.002));
    fuse.breaking = Some(amperes(50_000.0));
    fuse.melting = Some(a2s(2.6e5));
    fuse.total = Some(a2s(7.0e5));
    fuse.total_at = Some(volts(500.0));
    fuse
}
