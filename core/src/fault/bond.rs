//! The bond from a box to chassis in a fault through chassis.

use crate::design::{Bond, Design, EnclosureId, Measured, Reading, Thing};
use crate::insulation::StrapMetal;
use crate::quantity::Resistance;

/// Resistance of a bond of which nothing is known, in the smallest fault through chassis:
/// what a bond may just have, 0.1 ohm (UN R100, ISO 6469-3).
pub const BOND: Resistance = constant!(Resistance::from_ohms(0.1));

/// Both bolted faces of a strap together (common practice, no source: a clean face has a
/// tenth of it).
const FACES_OHMS: f32 = 1.0e-3;

/// Resistivity, ohm m, at about 80 degC, rounded up (handbooks of materials, from memory).
const fn resistivity(metal: StrapMetal) -> f32 {
    match metal {
        StrapMetal::Copper => 2.2e-8,
        StrapMetal::Aluminium => 3.6e-8,
        StrapMetal::Steel => 2.5e-7,
    }
}

/// Resistance of the bond of a box, ohm: what is known of it, else [`BOND`].
pub(super) fn bond_ohms(design: &Design, enclosure: Option<EnclosureId>) -> f32 {
    known_bond_ohms(design, enclosure).unwrap_or(BOND.as_ohms())
}

/// What is known of the bond of a box, ohm: the largest that was measured, else that of the
/// stated strap with its faces.
pub(super) fn known_bond_ohms(design: &Design, enclosure: Option<EnclosureId>) -> Option<f32> {
    let id = enclosure?;
    let mut measured: Option<f32> = None;
    for (_, reading) in design.all::<Reading>() {
        if let (true, Measured::Bond { resistance, .. }) =
            (reading.at == Thing::from(id), reading.measured)
        {
            let ohms = resistance.as_ohms();
            // Below what the instrument shows: nothing is known by it.
            if ohms <= 0.0 {
                continue;
            }
            measured = Some(measured.map_or(ohms, |known| libm::fmaxf(known, ohms)));
        }
    }
    measured.or_else(|| match design.get(id).and_then(|entry| entry.bond) {
        Some(Bond {
            section: Some(section),
            metal: Some(metal),
            length: Some(length),
        }) if section.as_m2() > 0.0 => {
            Some(FACES_OHMS + resistivity(metal) * length.as_metres() / section.as_m2())
        }
        _ => None,
    })
}
