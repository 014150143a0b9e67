//! Where changes are tried. On the host only.

#![cfg(feature = "text")]

use super::super::subject::Topology;
use crate::design::Design;
use crate::fault::FaultWorkspace;
use crate::insulation::Domain;
use crate::network::Workspace;
use crate::study::{FaultBurdens, Study};

/// Room for a changed copy of a design and its study; about 220 kB.
#[derive(Debug)]
pub struct ChangedDesign {
    pub(super) design: Design,
    /// Of the copy; none before there is one.
    pub(super) topology: Option<Topology>,
    pub(super) study: Study,
    pub(super) workspace: Workspace,
}

impl ChangedDesign {
    /// Room for copies of designs.
    pub const fn new() -> Self {
        Self {
            design: Design::new(Domain::Road),
            topology: None,
            study: Study::new(),
            workspace: Workspace::new(),
        }
    }
}

impl Default for ChangedDesign {
    fn default() -> Self {
        Self::new()
    }
}

/// Room for the short circuits of a changed copy; about 260 kB.
#[derive(Debug)]
pub struct ChangedFaults {
    pub(super) faults: FaultBurdens,
    pub(super) currents: FaultWorkspace,
}

impl ChangedFaults {
    /// Room for the short circuits of copies.
    pub const fn new() -> Self {
        Self {
            faults: FaultBurdens::new(),
            currents: FaultWorkspace::new(),
        }
    }
}

impl Default for ChangedFaults {
    fn default() -> Self {
        Self::new()
    }
}

/// Where changes are tried. What holds nothing from one change to the next may be made
/// when it is asked for first: many a finding needs no room, few need both.
pub trait Rooms {
    /// Room for a copy.
    fn changed(&mut self) -> &mut ChangedDesign;

    /// The same room and one for the short circuits of the copy in it.
    fn with_faults(&mut self) -> (&mut ChangedDesign, &mut ChangedFaults);
}

/// All that may be needed; large, keep it in a `static` or on the heap.
#[derive(Debug, Default)]
pub struct Scratch {
    changed: ChangedDesign,
    faults: ChangedFaults,
}

impl Scratch {
    /// Room for copies of designs and their short circuits.
    pub const fn new() -> Self {
        Self {
            changed: ChangedDesign::new(),
            faults: ChangedFaults::new(),
        }
    }
}

impl Rooms for Scratch {
    fn changed(&mut self) -> &mut ChangedDesign {
        &mut self.changed
    }

    fn with_faults(&mut self) -> (&mut ChangedDesign, &mut ChangedFaults) {
        (&mut self.changed, &mut self.faults)
    }
}
