//! Adding entries: names, capacities, finding again.

use std::boxed::Box;
use std::format;

use super::*;
use crate::error::{Capacity, Error};

fn empty() -> Box<Design> {
    Box::new(Design::new(Domain::Road))
}

#[test]
fn a_design_is_as_small_as_it_promises() {
    assert!(size_of::<Design>() <= DESIGN_BYTES);
    // A promise with too much air in it is none.
    assert!(size_of::<Design>() + 4096 > DESIGN_BYTES);
}

#[test]
fn names_are_taken_once_for_each_kind_and_once_for_all_that_is_drawn() {
    let mut design = empty();
    let name = design.put_text("heater").unwrap();
    let enclosure = design.add(Enclosure::new(name)).unwrap();
    let taken = Error::NameTaken(enclosure.into());
    assert_eq!(design.add(Enclosure::new(name)), Err(taken));
    // A zone, a terminal, a type may be called the same.
    design.add(Zone::new(name)).unwrap();
    let one = design.add(Terminal::new(name)).unwrap();
    let other = design.put_text("other").unwrap();
    let other = design.add(Terminal::new(other)).unwrap();
    design.add(FuseType::new(name)).unwrap();
    // Between terminals there is one heater only.
    let load = Load::new(name, Role::Consumer, [one, other]);
    let load = design.add(load).unwrap();
    let taken = Error::NameTaken(load.into());
    assert_eq!(design.add(Fuse::new(name, [one, other])), Err(taken));
    assert_eq!(design.add(Conductor::new(name, [one, other])), Err(taken));
    assert_eq!(design.find_drawn("heater"), Some(load.into()));
    assert_eq!(design.find::<Enclosure>("heater"), Some(enclosure));
    assert_eq!(design.find::<Fuse>("heater"), None);
    assert_eq!(design.find::<Fuse>("never heard of"), None);
    assert_eq!(design.name(load.into()), Some("heater"));
}

#[test]
fn the_routes_of_a_pair_are_kept_once() {
    let mut design = empty();
    let name = design.put_text("sill").unwrap();
    let zone = design.add(Zone::new(name)).unwrap();
    let piece = |metres: f32| RoutePiece {
        zone,
        length: Some(Length::from_metres(metres).unwrap()),
        laid: Some(Laid::FreeAir),
        circuits: Some(1),
    };
    let route = [piece(1.0), piece(2.0), piece(3.0)];
    let first = design.add_route(&route).unwrap();
    assert_eq!(design.add_route(&route), Ok(first));
    assert_eq!(design.count(Kind::RoutePiece), 3);
    // The end of a known route is a known route.
    let end = design.add_route(&route[1..]).unwrap();
    assert_eq!(design.count(Kind::RoutePiece), 3);
    let lengths = end.pieces().map(|piece| design.get(piece).unwrap().length);
    assert!(lengths.eq(route[1..].iter().map(|piece| piece.length)));
    assert_eq!(design.add_route(&[]), Ok(Route::UNKNOWN));
    let long = [piece(1.0); MAX_PIECES_OF_ROUTE + 1];
    assert_eq!(
        design.add_route(&long),
        Err(Error::Capacity(Capacity::RoutePieces))
    );
}

#[test]
fn route_pieces_fit_to_the_limit_and_not_one_more() {
    let mut design = empty();
    let name = design.put_text("sill").unwrap();
    let zone = design.add(Zone::new(name)).unwrap();
    let piece = |number: usize| RoutePiece {
        zone,
        length: Some(Length::from_mm(f32::from(u16::try_from(number).unwrap())).unwrap()),
        laid: Some(Laid::FreeAir),
        circuits: Some(1),
    };
    for number in 0..MAX_ROUTE_PIECES {
        design.add_route(&[piece(number)]).unwrap();
    }
    let refused = design.add_route(&[piece(MAX_ROUTE_PIECES)]);
    assert_eq!(refused, Err(Error::Full(Kind::RoutePiece)));
    assert!(design.add_route(&[piece(0)]).is_ok());
}

/// Adds entries until one is refused; it must be the one beyond the capacity.
fn fill<E: Entry>(design: &mut Design, make: impl Fn(TextId, usize) -> E) {
    let kind = <E::Id as Index>::KIND;
    let before = design.count(kind);
    for number in before..kind.most() {
        let name = design.put_text(&format!("n{number}")).unwrap();
        let id = design.add(make(name, number)).unwrap();
        assert_eq!(id.position(), number);
    }
    let name = design.put_text("more").unwrap();
    let refused = design.add(make(name, kind.most()));
    assert!(
        matches!(refused, Err(Error::Full(full)) if full == kind),
        "{kind:?}"
    );
    assert_eq!(design.count(kind), kind.most());
}

#[test]
fn every_kind_fits_to_its_limit_and_not_one_more() {
    // What is drawn shares its names, so each kind gets a design of its own.
    macro_rules! fill_each {
        ($( $make:expr; )*) => { $( {
            let mut design = empty();
            let mut made = [0, 1].into_iter().map(TerminalId::at);
            let ends = [made.next().unwrap().unwrap(), made.next().unwrap().unwrap()];
            #[allow(clippy::redundant_closure_call)]
            fill(&mut design, |name, number| $make(name, number, ends));
        } )* };
    }
    let zone = || ZoneId::at(0).unwrap();
    let conductor = series::Conductor::metric(
        MetricTable::Iec60228Class5,
        Metal::Copper,
        ConductorArea::from_mm2(70.0).unwrap(),
    )
    .unwrap();
    fill_each! {
        |name, _, _| Zone::new(name);
        |name, _, _| Enclosure::new(name);
        |name, _, _| Terminal::new(name);
        |name, _, ends| Battery::new(name, System::Traction, ends, [1, 1], cell());
        |name, _, ends| Conductor::new(name, ends);
        |name, _, ends| Fuse::new(name, ends);
        |name, _, ends| Contactor::new(name, ends);
        |name, _, ends| ServiceDisconnect::new(name, ends);
        |name, _, ends| Resistor::new(name, Purpose::Bleed, ends);
        |name, _, ends| Load::new(name, Role::Consumer, ends);
        |name, _, ends| Converter::new(name, LoadId::at(0).unwrap(), ends);
        |name, _, _| CableType::new(name, Metal::Copper, conductor);
        |name, _, _| FuseType::new(name);
        |name, _, _| ContactorType::new(name);
        |name, _, _| ResistorType::new(name);
        |name, _, _| LugType::new(name);
        |name, _, _| GlandType::new(name);
        |name, _, _| Phase::new(name);
        |name, _, _| Duty::new(name);
        |name, _, _| Spacing::new(name, EnclosureId::at(0).unwrap());
        |_, _, _| PhaseDraw {
            phase: PhaseId::at(0).unwrap(),
            load: LoadId::at(0).unwrap(),
            draw: Draw::NOTHING,
        };
        |_, _, _| Reading {
            at: Thing::VEHICLE,
            end: None,
            measured: Measured::Joint(ohms(1e-4)),
            signature: None,
        };
        |rule, _, _| Attestation {
            rule,
            about: Thing::VEHICLE,
            holds: true,
            photo: None,
            signature: None,
        };
        |name, _, _| Signature {
            initials: Some(name),
            ..Signature::default()
        };
        |_, _, _| RoutePiece { zone: zone(), length: None, laid: Some(Laid::FreeAir), circuits: Some(1) };
    }
}

#[test]
fn one_signature_serves_many_readings() {
    let mut design = empty();
    let signature = Signature {
        date: Some(Date::new(2025, 6, 1).unwrap()),
        ..Signature::default()
    };
    let first = design.add_signature(signature).unwrap();
    assert_eq!(design.add_signature(signature), Ok(first));
    assert_eq!(design.count(Kind::Signature), 1);
}

#[test]
fn what_is_asked_of_a_number_of_another_design_is_nothing() {
    let small = small();
    let other = empty();
    assert_eq!(other.get(small.fuse), None);
    assert_eq!(other.name(small.fuse.into()), None);
    assert_eq!(other.text(TextId::at(3).unwrap()), None);
    let conductor = small.design.get(small.cables[0]).unwrap();
    assert!(other.length(conductor).is_err());
}
