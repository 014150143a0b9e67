use proptest::prelude::*;
use std::vec::Vec as StdVec;

use super::image::CRC;
use super::*;

#[allow(clippy::too_many_lines)] // one line for each value
/// Two strings, precharge, everything there; the numbers of an invented vehicle.
pub(crate) fn sample() -> Limits {
    let switch = |role, string, channel| Switch {
        role,
        string,
        channel,
        feedback: 1,
        only_way: 1,
        breaks_discharge_a: 900.0,
        breaks_charge_a: 300.0,
        closing_ms: 100.0,
        opening_ms: 50.0,
        hold_ms: 500.0,
    };
    let channel = |kind, string, lasting: f32| Channel {
        kind,
        string,
        range_a: 1500.0,
        discharge_a: lasting,
        charge_a: 0.5 * lasting,
        rest_ms: 300_000.0,
        band_a: [10.0, 6.0, 4.0, 3.0, 2.0, 1.5].map(|many| many * lasting),
        band_a2s: [1.0e5, 1.2e5, 1.5e5, 2.0e5, 4.0e5, 9.0e5],
        fuse_a2s: [2.0e5, 2.2e5, 2.5e5, 4.0e5, 9.0e5, 2.0e6],
        late_a: [12.0, 7.0, 5.0, 3.6, 2.6, 1.8].map(|many| many * lasting),
        fuse_a: Some(1.3 * lasting),
        trip_a: None,
        trip_ms: 50.0,
        sure_a: 1485.0,
    };
    let circuit = |channel| Circuit {
        channel,
        air_degc: 40.0,
        limit_degc: 125.0,
        start_degc: 75.0,
        heat_ohm_per_m: 2.8e-4,
        growth_per_k: 3.6e-3,
        added_w_per_m: 0.0,
        inner_j_per_m_k: 245.0,
        cooling_j_per_m_k: 320.0,
        outer_j_per_m_k: 160.0,
        inner_w_per_m_k: 6.5,
        off_w_per_m_k: [0.5, 0.6, 0.75],
        off_w_per_m: [0.0, 1.5, 6.0],
    };
    let path = |relay| Precharge {
        relay,
        resistance_ohm: 100.0,
        capacitance_f: 1.0e-3,
        below_share: 0.15,
        above_share: 0.25,
        short_share: 0.1,
        open_share: 0.1,
        stand_share: 0.02,
        pull_in_ms: 30.0,
        lasts_ms: 30.0,
        time_out_ms: 1500.0,
        tries: 3.0,
        wait_ms: 60_000.0,
        cooling_ms: 40_000.0,
    };
    let string = StringLimit {
        resistance_ohm: 0.06,
        discharge_a: 400.0,
        charge_a: 150.0,
    };
    Limits {
        revision: Revision {
            fingerprint: 0x1234_5678,
            letters: Vec::from_slice(b"C").unwrap(),
        },
        pack: Pack {
            lowest_v: 250.0,
            highest_v: 410.0,
            touchable_v: 60.0,
        },
        sensors: Sensors {
            voltage_share: 0.015,
            voltage_offset_v: 2.0,
            voltage_range_v: 500.0,
            drop_ohm: 0.0,
            differ_ms: 200.0,
            ramp_a_per_s: 200.0,
            fast_age_ms: 50.0,
            switch_age_ms: 200.0,
            slow_age_ms: 5000.0,
            tick_ms: 200.0,
        },
        close: Close {
            within_v: 8.0,
            slope_v_per_s: 40.0,
            current_a: 2.0,
            stable_ms: 50.0,
            dead_ms: 100.0,
        },
        link: Link {
            capacitance_f: 1.15e-3,
            bleed_ohm: Some(33.0e3),
            discharge_ohm: Some(470.0),
            off_ms: Some(5000.0),
            stuck_ms: 500.0,
            weld_share: 0.1,
        },
        precharge: Vec::from_slice(&[path(2), path(5)]).unwrap(),
        standing: Vec::from_slice(&[Standing {
            kind: 2,
            amount: 33.0e3,
            from_v: 0.0,
        }])
        .unwrap(),
        switches: Vec::from_slice(&[
            switch(0, 0, 1),
            switch(1, 0, 1),
            switch(2, 0, 1),
            switch(0, 1, 2),
            switch(1, 1, 2),
            switch(2, 1, 2),
        ])
        .unwrap(),
        opening: Opening {
            soft_a: 2.0,
            time_out_ms: 5000.0,
            settle_ms: 20.0,
        },
        channels: Vec::from_slice(&[
            channel(0, NONE, 300.0),
            channel(1, 0, 150.0),
            channel(1, 1, 150.0),
        ])
        .unwrap(),
        strings: Vec::from_slice(&[string, string]).unwrap(),
        parallel: Some(Parallel {
            join_v: 1.0,
            join_ms: 500.0,
            rest_a: 2.0,
            drift_v: 3.0,
            drift_ms: 10_000.0,
            share: 0.2,
            share_gate: 0.2,
            share_ms: 10_000.0,
        }),
        isolation: Some(Isolation {
            alarm_ohm_per_v: 500.0,
            warn_ohm_per_v: 2500.0,
            low_ms: 10_000.0,
            changed_ms: 30_000.0,
            charging_ms: 20_000.0,
            response_ms: 10_000.0,
            range_ohm: 5.0e7,
        }),
        interlock: Interlock {
            open_ms: 30.0,
            slow_km_per_h: 5.0,
            range_km_per_h: 200.0,
            moves_km_per_h: 1.0,
            plug_ms: 50.0,
        },
        coils: Coils {
            hold_v: 9.0,
            range_v: 40.0,
            dip_ms: 10.0,
            again_ms: 100.0,
        },
        heat: Heat {
            resistor_degc: 200.0,
            joint_degc: 90.0,
            joint_difference_k: 15.0,
            hot_ms: 10_000.0,
        },
        circuits: Vec::from_slice(&[circuit(0), circuit(1), circuit(2)]).unwrap(),
        reason: Vec::new(),
    }
}

fn image(limits: &Limits) -> StdVec<u8> {
    let mut buffer = [0; MAX_IMAGE_BYTES];
    let length = limits.encode(&mut buffer).unwrap();
    buffer[..length].to_vec()
}

#[test]
fn what_was_written_is_read() {
    let limits = sample();
    let image = image(&limits);
    assert_eq!(Limits::decode(&image), Ok(limits));
}

/// Images that are in vehicles have to be read: a change of the layout raises
/// [`VERSION`]. `ORANGELOOM_WRITE=1` writes the new one.
#[test]
fn the_layout_is_that_of_the_kept_image() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/limits/sample.image");
    if std::env::var_os("ORANGELOOM_WRITE").is_some() {
        std::fs::write(path, image(&sample())).unwrap();
    }
    assert!(std::fs::read(path).unwrap() == image(&sample()));
}

/// CRC-32/ISO-HDLC of "123456789": the check value of the catalogue of parametrised CRC
/// algorithms (from memory).
#[test]
fn the_checksum_is_the_common_one() {
    assert_eq!(CRC.checksum(b"123456789"), 0xcbf4_3926);
}

#[test]
fn the_head_is_where_it_is_told() {
    let image = image(&sample());
    assert_eq!(&image[..4], b"OLLM");
    assert_eq!(u16::from_le_bytes([image[4], image[5]]), VERSION);
    let length = usize::from(u16::from_le_bytes([image[6], image[7]]));
    assert_eq!(image.len(), HEADER_BYTES + length + 4);
    assert_eq!(&image[8..12], &0x1234_5678_u32.to_le_bytes());
    assert_eq!(&image[12..14], b"C\0");
    assert_eq!(&image[52..56], &250.0_f32.to_le_bytes());
}

#[test]
fn every_flipped_bit_and_pair_of_neighbours_is_found() {
    let image = image(&sample());
    let bits = image.len() * 8;
    for bit in 0..bits {
        let mut damaged = image.clone();
        damaged[bit / 8] ^= 1 << (bit % 8);
        assert!(Limits::decode(&damaged).is_err(), "bit {bit}");
        if bit + 1 < bits {
            damaged[(bit + 1) / 8] ^= 1 << ((bit + 1) % 8);
            assert!(Limits::decode(&damaged).is_err(), "bits {bit} and next");
        }
    }
}

/// xorshift of Marsaglia: the same flips in every run.
fn random(state: &mut u64) -> u64 {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    *state
}

/// What flipping each bit of an image does to its checksum held against the one that is
/// written in it. A checksum is linear: several flips do what each does, all exclusive-or.
fn syndromes(image: &[u8]) -> StdVec<u32> {
    let (body, sum) = image.split_last_chunk::<4>().unwrap();
    let right = CRC.checksum(body);
    let mut damaged = body.to_vec();
    let mut all = StdVec::new();
    for bit in 0..body.len() * 8 {
        damaged[bit / 8] ^= 1 << (bit % 8);
        all.push(CRC.checksum(&damaged) ^ right);
        damaged[bit / 8] ^= 1 << (bit % 8);
    }
    all.extend((0..sum.len() * 8).map(|bit| 1_u32 << bit));
    all
}

/// Up to sixteen different bits of so many.
fn flips(state: &mut u64, bits: usize) -> StdVec<usize> {
    let mut flipped = StdVec::new();
    for _ in 0..=random(state) % 16 {
        let bit = usize::try_from(random(state) % bits as u64).unwrap();
        match flipped.iter().position(|other| *other == bit) {
            Some(again) => {
                flipped.swap_remove(again);
            }
            None => flipped.push(bit),
        }
    }
    flipped
}

/// Two flips go unseen where they do the same to the checksum, one where it does nothing.
#[test]
fn every_two_flipped_bits_are_found() {
    let mut all = syndromes(&image(&sample()));
    all.push(0);
    let bits = all.len();
    all.sort_unstable();
    all.dedup();
    assert_eq!(all.len(), bits);
}

#[test]
fn a_million_random_flips_are_found() {
    let image = image(&sample());
    let syndromes = syndromes(&image);
    let mut state = 0x9e37_79b9_7f4a_7c15;
    let mut damaged = image.clone();
    for run in 0..1_000_000 {
        let flipped = flips(&mut state, syndromes.len());
        if flipped.is_empty() {
            continue;
        }
        let unlike = flipped.iter().fold(0, |all, bit| all ^ syndromes[*bit]);
        assert_ne!(unlike, 0, "run {run}: {flipped:?}");
        // Some of them for real, so that nothing rests on the arithmetic alone.
        if run % 200 == 0 {
            damaged.copy_from_slice(&image);
            for bit in flipped {
                damaged[bit / 8] ^= 1 << (bit % 8);
            }
            let (body, sum) = damaged.split_last_chunk().unwrap();
            let found = CRC.checksum(body) ^ u32::from_le_bytes(*sum);
            assert_eq!(found, unlike, "run {run}");
            assert!(Limits::decode(&damaged).is_err(), "run {run}");
        }
    }
}

#[test]
fn what_is_cut_short_or_too_long_is_refused() {
    let image = image(&sample());
    for length in 0..image.len() {
        assert!(Limits::decode(&image[..length]).is_err(), "{length}");
    }
    let mut longer = image.clone();
    longer.push(0);
    assert_eq!(Limits::decode(&longer), Err(ImageError::Length));
}

/// An image with right checksum and length, whatever else is in it.
fn sealed(mut image: StdVec<u8>) -> StdVec<u8> {
    let length = u16::try_from(image.len() - HEADER_BYTES).unwrap();
    image[6..8].copy_from_slice(&length.to_le_bytes());
    let sum = CRC.checksum(&image);
    image.extend_from_slice(&sum.to_le_bytes());
    image
}

fn body(limits: &Limits) -> StdVec<u8> {
    let mut image = image(limits);
    image.truncate(image.len() - 4);
    image
}

#[test]
fn another_version_is_refused_by_name() {
    let mut other = body(&sample());
    other[4] = 1;
    assert_eq!(Limits::decode(&sealed(other)), Err(ImageError::Version(1)));
    let mut other = body(&sample());
    other[0] = b'X';
    assert_eq!(Limits::decode(&sealed(other)), Err(ImageError::Magic));
}

#[test]
fn a_value_outside_its_range_is_refused_with_its_place() {
    for bad in [f32::NAN, f32::INFINITY, -1.0, 1.0e9] {
        let mut other = body(&sample());
        other[56..60].copy_from_slice(&bad.to_le_bytes());
        let refused = ImageError::Range {
            section: Section::Pack,
            field: 1,
        };
        assert_eq!(Limits::decode(&sealed(other)), Err(refused));
        let mut limits = sample();
        limits.pack.highest_v = bad;
        assert!(limits.encode(&mut [0; MAX_IMAGE_BYTES]).is_err());
    }
}

/// In the sample a path of precharge begins behind the fixed sections and the count of paths:
/// 3, 10 and 5 numbers, and 6 of which three are told to be there.
#[test]
fn each_kind_of_value_is_refused_with_its_place() {
    let path = 52 + 4 * (3 + 10 + 5 + 6) + 3 + 1;
    let (link, bytes) = (52 + 4 * (3 + 10 + 5), 2 * (1 + 4 * 13));
    let switch = path + bytes + 1 + 9 + 1;
    let channel = switch + 6 * (5 + 4 * 5) + 12 + 1;
    let nan = f32::NAN.to_le_bytes();
    let refused = |section, field| Err(ImageError::Range { section, field });
    let cases: [(usize, &[u8], Section, u8); 8] = [
        // Behind the byte that tells of one.
        (link + 5, &nan, Section::Link, 1),
        (path + 1, &nan, Section::Precharge, 1),
        (path + 1 + 4 * 10, &nan, Section::Precharge, 11),
        // A byte.
        (switch, &[5], Section::Switch, 0),
        (switch + 4, &[2], Section::Switch, 4),
        // One of several: the place of all of them.
        (channel + 2 + 4 * 4, &nan, Section::Channel, 6),
        (channel + 2 + 4 * 9, &nan, Section::Channel, 6),
        (channel + 2 + 4 * 10, &nan, Section::Channel, 7),
    ];
    for (place, bad, section, field) in cases {
        let mut other = body(&sample());
        other[place..place + bad.len()].copy_from_slice(bad);
        assert_eq!(Limits::decode(&sealed(other)), refused(section, field));
    }
    let mut other = body(&sample());
    other[link + 4] = 2;
    assert_eq!(Limits::decode(&sealed(other)), Err(ImageError::Flag));
}

#[test]
fn what_contradicts_itself_is_refused() {
    type Change = fn(&mut Limits);
    let changes: [(Change, Section); 11] = [
        (|l| l.pack.lowest_v = 500.0, Section::Pack),
        (
            |l| (l.pack.lowest_v, l.pack.highest_v) = (50.0, 59.0),
            Section::Pack,
        ),
        (|l| l.close.within_v = 300.0, Section::Close),
        (|l| l.coils.hold_v = 60.0, Section::Coils),
        (|l| l.precharge[0].relay = 9, Section::Precharge),
        (|l| l.precharge[0].relay = 0, Section::Precharge),
        (|l| l.switches[0].channel = 7, Section::Switch),
        (|l| l.channels[0].band_a[2] = 1.0, Section::Channel),
        (|l| l.parallel = None, Section::Parallel),
        (|l| l.circuits[0].air_degc = 200.0, Section::Circuit),
        (|l| l.channels.clear(), Section::Switch),
    ];
    for (change, section) in changes {
        let mut limits = sample();
        change(&mut limits);
        let refused = limits.encode(&mut [0; MAX_IMAGE_BYTES]);
        assert_eq!(refused, Err(ImageError::Contradiction(section)));
    }
}

#[test]
fn letters_that_cannot_be_printed_are_refused() {
    let mut limits = sample();
    limits.reason = Vec::from_slice(b"two\nlines").unwrap();
    let refused = limits.encode(&mut [0; MAX_IMAGE_BYTES]);
    assert_eq!(refused, Err(ImageError::Letters));
}

#[test]
fn the_longest_limits_fit_an_image() {
    let mut limits = sample();
    while limits.precharge.push(limits.precharge[0]).is_ok() {}
    while limits.standing.push(limits.standing[0]).is_ok() {}
    while limits.switches.push(limits.switches[0]).is_ok() {}
    while limits.channels.push(limits.channels[0]).is_ok() {}
    while limits.strings.push(limits.strings[0]).is_ok() {}
    while limits.circuits.push(limits.circuits[0]).is_ok() {}
    while limits.reason.push(b'x').is_ok() {}
    while limits.revision.letters.push(b'x').is_ok() {}
    assert_eq!(Limits::decode(&image(&limits)), Ok(limits));
}

proptest! {
    #[test]
    fn any_limits_survive_the_round_trip(
        volts in 60.0_f32..400.0,
        share in 0.0_f32..0.2,
        tries in 1.0_f32..=100.0,
        off in proptest::option::of(1.0_f32..1.0e7),
        band in 1.0_f32..1000.0,
        reason in "[ -~]{0,120}",
        circuits in 0_usize..=MAX_CIRCUITS,
    ) {
        let mut limits = sample();
        limits.pack.lowest_v = volts;
        limits.sensors.voltage_share = share;
        limits.precharge[0].tries = tries;
        limits.link.off_ms = off;
        limits.channels[1].band_a = [6.0, 5.0, 4.0, 3.0, 2.0, 1.0].map(|many| many * band);
        limits.reason = Vec::from_slice(reason.as_bytes()).unwrap();
        let one = limits.circuits[0];
        limits.circuits.clear();
        for _ in 0..circuits {
            limits.circuits.push(one).unwrap();
        }
        let read = Limits::decode(&image(&limits)).unwrap();
        prop_assert_eq!(read.pack.lowest_v.to_bits(), volts.to_bits());
        prop_assert_eq!(read, limits);
    }

    #[test]
    fn any_bytes_are_refused_and_nothing_panics(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        prop_assert!(Limits::decode(&bytes).is_err());
        let mut payload = body(&sample())[..HEADER_BYTES].to_vec();
        payload.extend_from_slice(&bytes);
        // A right checksum over anything: the ranges have the last word.
        let _ = Limits::decode(&sealed(payload));
    }

    #[test]
    fn what_is_read_lies_within_every_range(place in 52_usize..900, byte: u8) {
        let mut damaged = body(&sample());
        if let Some(there) = damaged.get_mut(place) {
            *there = byte;
        }
        if let Ok(limits) = Limits::decode(&sealed(damaged)) {
            prop_assert!(limits.encode(&mut [0; MAX_IMAGE_BYTES]).is_ok());
        }
    }
}
