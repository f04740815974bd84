//! Stream tubes: an uneven flow as columns side by side, each with its share of the area and its own velocity.

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};

use crate::inputs::maldistribution::Maldistribution;
use crate::inputs::recipe_steps::StepName;

/// A part of the bed's section that water goes through at one velocity.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Tube {
    /// Share of the area.
    pub area: f64,
    /// Velocity in service and fast rinse over the mean of the section.
    pub service: f64,
    /// Velocity of brine and slow rinse over the mean of the section.
    pub regenerant: f64,
}

impl Tube {
    /// The whole section.
    const WHOLE: Self = Self { area: 1.0, service: 1.0, regenerant: 1.0 };

    /// Velocity in a step over the mean of the section.
    pub fn velocity(&self, step: StepName) -> f64 {
        match step {
            StepName::Brine | StepName::ReclaimedBrine | StepName::SlowRinse => self.regenerant,
            StepName::Service | StepName::FastRinse | StepName::Backwash | StepName::Standby => self.service,
        }
    }
}

/// The tubes of a section; one if the flow is even. Areas sum to 1, and so do areas times velocities.
pub fn tubes(uneven: Option<&Maldistribution>) -> Vec<Tube> {
    let Some(uneven) = uneven else { return vec![Tube::WHOLE] };
    let ranks: Vec<(f64, f64)> = match (uneven.spread, uneven.fast_flow_share, uneven.fast_area_share) {
        (_, Some(flow), Some(area)) => vec![(1.0 - area, (1.0 - flow) / (1.0 - area)), (area, flow / area)],
        (Some(spread), ..) if spread > 0.0 && uneven.tubes > 1 => {
            log_normal_means(spread, uneven.tubes).into_iter().map(|mean| (1.0 / uneven.tubes as f64, mean)).collect()
        }
        _ => return vec![Tube::WHOLE],
    };
    paired(&ranks, uneven.correlation)
}

/// Every pair of a rank in service and a rank in regeneration that has an area: same ranks with a share `correlation` of
/// the section, all with all in the rest. Their flows then have just that coefficient of correlation: it is 1 in the one
/// share and 0 in the other, and means and variances are the same in both.
fn paired(ranks: &[(f64, f64)], correlation: f64) -> Vec<Tube> {
    let mut tubes = Vec::new();
    for (i, (area, service)) in ranks.iter().enumerate() {
        for (j, (other, regenerant)) in ranks.iter().enumerate() {
            let same = if i == j { correlation * area } else { 0.0 };
            let area = same + (1.0 - correlation) * area * other;
            if area > 0.0 {
                tubes.push(Tube { area, service: *service, regenerant: *regenerant });
            }
        }
    }
    tubes
}

/// Means of a log-normal variable of mean 1 between its n-quantiles; `spread` is the standard deviation of its logarithm.
///
/// With x = exp(s Z - s^2/2), E(x; a < Z < b) = P(b - s) - P(a - s), P the normal distribution (algebra). The sum over the
/// parts is 1, so the mean is kept exactly.
fn log_normal_means(spread: f64, n: usize) -> Vec<f64> {
    let normal = Normal::standard();
    let below = |k: usize| match k {
        0 => 0.0,
        _ if k == n => 1.0,
        _ => normal.cdf(normal.inverse_cdf(k as f64 / n as f64) - spread),
    };
    (0..n).map(|k| n as f64 * (below(k + 1) - below(k))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mean(tubes: &[Tube], of: impl Fn(&Tube) -> f64) -> f64 {
        tubes.iter().map(|tube| tube.area * of(tube)).sum()
    }

    #[test]
    fn areas_flows_and_correlation_are_as_stated() {
        for correlation in [0.0, 0.3, 1.0] {
            for uneven in [
                Maldistribution { correlation, ..Maldistribution::with_spread(0.25) },
                Maldistribution {
                    fast_flow_share: Some(0.4),
                    fast_area_share: Some(0.25),
                    correlation,
                    ..Maldistribution::default()
                },
            ] {
                let tubes = tubes(Some(&uneven));
                let ranks = if uneven.spread.is_some() { 5 } else { 2 };
                assert_eq!(tubes.len(), if correlation < 1.0 { ranks * ranks } else { ranks });
                for total in [mean(&tubes, |_| 1.0), mean(&tubes, |t| t.service), mean(&tubes, |t| t.regenerant)] {
                    assert!((total - 1.0).abs() < 1e-14, "{total}");
                }
                let of = |a: fn(&Tube) -> f64, b: fn(&Tube) -> f64| mean(&tubes, |t| (a(t) - 1.0) * (b(t) - 1.0));
                let (service, regenerant) = (|t: &Tube| t.service, |t: &Tube| t.regenerant);
                let found = of(service, regenerant) / (of(service, service) * of(regenerant, regenerant)).sqrt();
                assert!((found - correlation).abs() < 1e-13, "{found} for {correlation}");
            }
        }
    }

    /// Many tubes have the standard deviation of the logarithm that was asked for.
    #[test]
    fn many_tubes_are_log_normal() {
        let means = log_normal_means(0.3, 2000);
        let logs: Vec<f64> = means.iter().map(|mean| mean.ln()).collect();
        let centre = logs.iter().sum::<f64>() / 2000.0;
        let deviation = (logs.iter().map(|log| (log - centre) * (log - centre)).sum::<f64>() / 2000.0).sqrt();
        assert!((deviation - 0.3).abs() < 1e-3, "{deviation}");
        assert!((centre + 0.045).abs() < 1e-3, "{centre}");
    }

    /// The fast tube of a section with 40 % of the flow in a quarter of it runs at 1.6 times the mean.
    #[test]
    fn a_share_of_the_flow_in_a_share_of_the_area() {
        let uneven =
            Maldistribution { fast_flow_share: Some(0.4), fast_area_share: Some(0.25), ..Maldistribution::default() };
        let found: Vec<(f64, f64)> = tubes(Some(&uneven)).iter().map(|t| (t.area, t.service)).collect();
        for ((area, velocity), (expected_area, expected)) in found.iter().zip([(0.75, 0.8), (0.25, 1.6)]) {
            assert!((area - expected_area).abs() < 1e-14 && (velocity - expected).abs() < 1e-14, "{found:?}");
        }
    }
}
