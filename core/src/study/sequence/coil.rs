//! Whether each coil pulls in and holds at the lowest supply.

use super::Context;
use crate::design::{Contactor, ContactorId, ContactorType, Gap, Thing};
use crate::protection::{CoilSupply, ContactorCheck, judge_coil};
use crate::quantity::Temperature;
use crate::standard::SourceId;
use crate::study::checked::Checked;
use crate::study::unknown::{Known, Unknown, entry};
use crate::verdict::{Judged, Side};

/// What the coil of one contactor gets and needs.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct CoilStudy {
    /// The contactor.
    pub contactor: ContactorId,
    /// How hot the coil is: air and what it warms by itself.
    pub temperature: Known<Temperature>,
    /// Pull-in at the lowest supply, and hold in a dip.
    pub checks: [Checked<ContactorCheck>; 2],
}

impl Context<'_> {
    /// The coil of one contactor.
    pub(super) fn coil(&self, id: ContactorId, contactor: &Contactor) -> CoilStudy {
        let temperature = self.coil_temperature(id, contactor);
        let judged = self.judged_coil(id, contactor, temperature);
        let checks = match judged {
            Ok(checks) => checks,
            Err(unknown) => [ContactorCheck::PullIn, ContactorCheck::Hold].map(|name| {
                let source = SourceId::CoilCopper;
                let judged = Judged::open(name, None, Side::AtLeast, None, source);
                Checked::open_because(judged, unknown)
            }),
        };
        CoilStudy {
            contactor: id,
            temperature,
            checks,
        }
    }

    fn coil_temperature(&self, id: ContactorId, contactor: &Contactor) -> Known<Temperature> {
        let part = contactor
            .part
            .ok_or(Unknown::missing(id, Gap::ContactorType))?;
        let kind: &ContactorType = entry(self.design, part)?;
        let rise = kind
            .coil
            .rise
            .ok_or(Unknown::missing(part, Gap::CoilRise))?;
        let air = self
            .design
            .air_in(self.design.box_of(contactor.enclosure, contactor.from))
            .ok_or(Unknown::missing(id, Gap::Air))?;
        Temperature::from_degc(air.as_degc() + rise.as_kelvin()).map_err(Unknown::refused(id))
    }

    fn judged_coil(
        &self,
        id: ContactorId,
        contactor: &Contactor,
        temperature: Known<Temperature>,
    ) -> Known<[Checked<ContactorCheck>; 2]> {
        let part = contactor
            .part
            .ok_or(Unknown::missing(id, Gap::ContactorType))?;
        let coil = entry(self.design, part)?.coil;
        let controller = &self.design.controller;
        let supply = CoilSupply {
            lowest: controller.lowest_supply,
            dip: controller.supply_dip,
            wire: contactor.coil_wire,
            coil: temperature.ok(),
        };
        let judged = judge_coil(&coil, &supply).map_err(Unknown::refused(id))?;
        let wire = contactor.coil_wire.is_none();
        Ok(judged.map(|judged| {
            let no_supply = match judged.name {
                ContactorCheck::PullIn => controller
                    .lowest_supply
                    .is_none()
                    .then_some(Gap::LowestSupply),
                _ => controller.supply_dip.is_none().then_some(Gap::SupplyDip),
            };
            let because = match (no_supply, wire, temperature) {
                (Some(gap), ..) => Unknown::Missing(Thing::CONTROLLER, gap),
                (_, true, _) => Unknown::missing(id, Gap::CoilWire),
                (_, _, Err(unknown)) => unknown,
                _ => Unknown::missing(part, Gap::CoilValues),
            };
            Checked::open_because(judged, because)
        }))
    }
}
