//! What the firing order says of the job's cylinders.

use crate::firing;
use crate::model::{Groups, Job};

/// Cylinders that go together, with the gaps between their firings, degrees of crank.
#[derive(Debug, Clone, PartialEq)]
pub struct Gaps {
    /// Cylinders in the order in which they fire.
    pub cylinders: Vec<u32>,
    /// Gaps once round the cycle, from the one that fires first.
    pub gaps_deg: Vec<f64>,
}

/// What the order says of one collector.
#[derive(Debug, Clone, PartialEq)]
pub struct CollectorFiring {
    /// Name of the collector.
    pub collector: String,
    /// Its cylinders in the order for its inlets, either way round, and their gaps.
    pub around: Gaps,
}

/// What the order says.
#[derive(Debug, Clone, PartialEq)]
pub struct FiringReport {
    /// Cylinders in the order in which they fire.
    pub order: Vec<u32>,
    /// Cylinder and firing angle, degrees of crank after the first, in the order.
    pub angles_deg: Vec<(u32, f64)>,
    /// Cylinders that the job's ports belong to; all of the engine's without ports.
    pub cylinders: Vec<u32>,
    /// Pairs for a 4-2-1 or the like; empty for an odd number.
    pub pairs: Vec<Gaps>,
    /// Pairs of the whole engine that fire 360 degrees apart; empty for an odd number of cylinders.
    pub pairs_360: Vec<[u32; 2]>,
    /// Two groups, for a twin entry or two collectors; empty for an odd number.
    pub groups: Vec<Gaps>,
    /// Collector by collector, where its cylinders are known.
    pub collectors: Vec<CollectorFiring>,
}

/// The report for a job and a firing order.
pub fn report(job: &Job, order: &[u32]) -> FiringReport {
    let mut cylinders: Vec<u32> = job.ports.iter().map(|p| p.cylinder).collect();
    if cylinders.is_empty() {
        cylinders = order.to_vec();
    }
    cylinders.sort_unstable();
    let with_gaps = |cylinders: Vec<u32>| {
        let gaps_deg = firing::gaps_deg(order, &cylinders).ok()?;
        Some(Gaps { cylinders, gaps_deg })
    };
    let parted = |groups: usize| -> Vec<Gaps> {
        let parted = firing::groups(order, &cylinders, groups).unwrap_or_default();
        parted.into_iter().filter_map(with_gaps).collect()
    };
    let even = cylinders.len() >= 4 && cylinders.len().is_multiple_of(2);
    let half = order.len() / 2;
    let mut pairs_360: Vec<[u32; 2]> = Vec::new();
    if order.len().is_multiple_of(2) {
        pairs_360.extend((0..half).map(|i| [order[i].min(order[i + half]), order[i].max(order[i + half])]));
        pairs_360.sort_unstable();
    }
    // A twin entry keeps its groups apart instead of turning with the order.
    let single = job.collectors.iter().filter(|c| c.groups == Groups::None);
    let collectors = single.filter_map(|c| {
        let known = match (c.cylinders.is_empty(), job.collectors.len()) {
            (false, _) => c.cylinders.clone(),
            (true, 1) => cylinders.clone(),
            (true, _) => return None,
        };
        let turned = firing::rotation(order, &known).ok()?;
        let around = with_gaps(turned)?;
        Some(CollectorFiring { collector: c.name.clone(), around })
    });
    FiringReport {
        angles_deg: order.iter().filter_map(|c| Some((*c, firing::angle_deg(order, *c)?))).collect(),
        pairs: if even { parted(cylinders.len() / 2) } else { Vec::new() },
        groups: if even { parted(2) } else { Vec::new() },
        pairs_360,
        collectors: collectors.collect(),
        order: order.to_vec(),
        cylinders: cylinders.clone(),
    }
}
