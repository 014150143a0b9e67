//! What a builder describes: a vehicle with one battery, one load, one converter.

use core::mem::MaybeUninit;

use orangeloom_core::design::*;
use orangeloom_core::error::Error;
use orangeloom_core::insulation::Domain;
use orangeloom_core::network::Workspace;
use orangeloom_core::quantity::{
    Charge, ConductorArea, Current, Length, LinearResistance, Power, Resistance, Share,
    Temperature, Time, Torque, Voltage,
};
use orangeloom_core::size::series;
use orangeloom_core::standard::metal::Metal;

use super::{Visit, accepted};

