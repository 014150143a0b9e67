//! A branch as the steps of a solve see it.

use super::netlist::{Branch, Element};

/// What a branch is to the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(super) enum Role {
    /// Does not conduct by itself: a source, a load, open.
    #[default]
    Outside,
    /// Part of the tree.
    Tree,
    /// Closes a loop.
    Chord,
}

/// What every step asks of a branch, worked out once; the position among all is that of the
/// branch.
#[derive(Clone, Copy, Default)]
pub(super) struct Wire {
    /// The nodes at its ends, and these after merging.
    pub(super) from: u8,
    pub(super) to: u8,
    pub(super) merged_from: u8,
    pub(super) merged_to: u8,
    pub(super) role: Role,
    /// Resistance of what conducts, as it was entered.
    ohms: f32,
    /// What conducts: its own EMF until the tree is grown, then what is left of it there:
    /// that of its loop for a chord, none for a branch of the tree.
    pub(super) emf: f64,
    /// Current of what draws one whatever the voltage is, as it was entered.
    amperes: f32,
}

impl Wire {
    #[allow(clippy::cast_possible_truncation)] // nodes fit, as in `put_number`
    pub(super) fn new(branch: &Branch) -> Self {
        let mut wire = Self {
            from: branch.from.index() as u8,
            to: branch.to.index() as u8,
            ..Self::default()
        };
        match branch.element {
            Element::Resistance(resistance) => {
                (wire.role, wire.ohms) = (Role::Chord, resistance.as_ohms());
            }
            Element::Emf { emf, resistance } => {
                (wire.role, wire.ohms) = (Role::Chord, resistance.as_ohms());
                wire.emf = f64::from(emf.as_volts());
            }
            Element::ConstantCurrent(current) => wire.amperes = current.as_amperes(),
            Element::ConstantPower(_) | Element::Open => {}
        }
        wire
    }

    pub(super) fn conducts(&self) -> bool {
        self.role != Role::Outside
    }

    /// Whether it makes one node of two.
    pub(super) fn is_link(&self) -> bool {
        self.conducts() && self.ohms <= 0.0
    }

    /// Whether it conducts and is no link.
    pub(super) fn resists(&self) -> bool {
        self.conducts() && self.ohms > 0.0
    }

    /// Resistance of what conducts.
    pub(super) fn resistance(&self) -> f64 {
        f64::from(self.ohms)
    }

    /// The same as it was entered.
    pub(super) const fn ohms(&self) -> f32 {
        self.ohms
    }

    /// Current of what draws one whatever the voltage is.
    pub(super) fn drawn(&self) -> f64 {
        f64::from(self.amperes)
    }

    /// The nodes at its ends.
    pub(super) fn nodes(&self) -> (usize, usize) {
        (usize::from(self.from), usize::from(self.to))
    }

    /// The merged nodes at its ends.
    pub(super) fn merged(&self) -> (usize, usize) {
        (usize::from(self.merged_from), usize::from(self.merged_to))
    }
}
