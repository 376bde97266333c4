//! What the job says of heat: the gas, the air around the tubes, what covers them, and what things nearby bear.

use crate::routes::RunId;

/// What covers a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cover {
    /// Nothing: metal that has oxidised in the heat.
    Bare,
    /// Nothing: metal that is kept bright.
    Bright,
    /// A ceramic coat.
    Coated,
    /// A wrap.
    Wrapped {
        /// Its thickness, mm.
        thickness: f64,
    },
}

/// What covers one run.
#[derive(Debug, Clone, PartialEq)]
pub struct CoveredRun {
    /// The run.
    pub run: RunId,
    /// What covers it.
    pub cover: Cover,
}

/// Heat of a job; what is not given is assumed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Heat {
    /// Gas at the ports, mean over a cycle, degrees Celsius.
    pub gas_c: Option<f64>,
    /// Port flange, degrees Celsius.
    pub flange_c: Option<f64>,
    /// Air around the tubes, degrees Celsius.
    pub air_c: Option<f64>,
    /// Its speed, m/s.
    pub air_speed: Option<f64>,
    /// Heat cycles that the allowable stress is given for.
    pub cycles: Option<f64>,
    /// Runs that are not bare.
    pub covers: Vec<CoveredRun>,
    /// Obstacles by their names, and the greatest temperature that each bears, degrees Celsius.
    pub limits: Vec<(String, f64)>,
}

impl Heat {
    /// What covers a run.
    pub fn cover(&self, run: &RunId) -> Cover {
        self.covers.iter().find(|c| c.run == *run).map_or(Cover::Bare, |c| c.cover)
    }
}
