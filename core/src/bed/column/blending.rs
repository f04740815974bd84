//! Where a history would turn negative: just as much of it is kept as does not, a share of a cell's exchange, then a share
//! of what has left it, from the inlet on.

use crate::bed::column::history::History;
use crate::bed::exchange::Exchange;
use crate::bed::time_step::TimeStep;
use crate::bed::transport::Transport;

/// What the history weights of a column are bound by from outside.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limits<const N: usize> {
    /// Histories are kept this share away from zero.
    pub rounding: f64,
    /// Of what enters.
    pub inlet_history_weight: [f64; N],
    /// Is what leaves collected by a space, which cannot give anything back?
    pub space_follows: bool,
}

/// Drop the history of fluxes that is against the flow. Not at the inlet: the space before the bed has decided that.
fn drop_backward(history_weight: &mut [f64], history_flux: &[f64]) {
    for (weight, flux) in history_weight.iter_mut().zip(history_flux).skip(1) {
        *weight = if *flux < 0.0 { 0.0 } else { 1.0 };
    }
}

/// Choose the history weights of all cells and faces of a step, and weigh its explicit parts by them; returns how many
/// cells fell back.
#[inline(never)]
pub(super) fn blend<const N: usize>(
    limits: &Limits<N>,
    history: &History<N>,
    transport: &Transport<N>,
    exchange: &mut Exchange<N>,
    step: &mut TimeStep<N>,
) -> u64 {
    let weights = step.weights;
    let eps = transport.void_fraction;
    let cells = history.now.cells();
    // What the history adds to loading, liquid and other stores together.
    let of_balance = |exchange: &Exchange<N>, i: usize, j: usize| {
        eps * history.of_liquid(&weights, i, j) + history.of_loading(&weights, i, j) + exchange.history(&weights, i, j)
    };
    let heights = transport.spacing.heights();
    // Fluxes of the steps before, from the inlet on: what a cell did not gain went through it.
    for i in 0..N {
        let flux = step.history_flux.row_mut(i);
        flux[0] = history.of_inlet(&weights, i);
        for j in 0..cells {
            flux[j + 1] = flux[j] - heights[j] * of_balance(exchange, i, j);
        }
    }
    step.history_weight.fill(1.0);
    step.history_weight.set(0, &limits.inlet_history_weight);
    for i in 0..N {
        if limits.space_follows && history.of_outlet(&weights, i) < 0.0 {
            drop_backward(step.history_weight.row_mut(i), step.history_flux.row(i));
            // Exactly 0, whatever the rounding of the sums along the bed.
            step.history_weight.row_mut(i)[cells] = 0.0;
        }
    }
    let mut fell_back = 0;
    let mut j = 0;
    while j < cells {
        let mut of_exchange = exchange.most_history(&weights, j);
        let mut against = [false; N];
        for i in 0..N {
            let q = history.now.loading.row(i)[j];
            let c = heights[j] * (eps * history.now.liquid.row(i)[j]);
            let (more, in_stores) = (history.of_loading(&weights, i, j), exchange.history(&weights, i, j));
            let entered = c + step.history_weight.row(i)[j] * step.history_flux.row(i)[j];
            against[i] = entered < 0.0;
            if q + more < 0.0 {
                of_exchange = of_exchange.min(-q / more);
            } else if more + in_stores > 0.0 && entered < heights[j] * (more + in_stores) {
                // Beads that went on loading as they did would take more than there is.
                let wanted = heights[j] * (more + in_stores);
                of_exchange = of_exchange.min((entered * (1.0 - limits.rounding) / wanted).max(0.0));
            }
        }
        if against.contains(&true) {
            // It would empty the cell that it came from.
            for i in (0..N).filter(|i| against[*i]) {
                let last = step.history_weight.row(i)[cells];
                drop_backward(step.history_weight.row_mut(i), step.history_flux.row(i));
                let weight = &mut step.history_weight.row_mut(i)[cells];
                *weight = weight.min(if limits.space_follows { last } else { 1.0 });
            }
            j = 0;
            continue;
        }
        step.exchange_weight.row_mut(0)[j] = weights.of_new(of_exchange);
        fell_back += u64::from(of_exchange < 1.0);
        // Of all ions before any store is changed.
        let gained: [f64; N] = std::array::from_fn(|i| heights[j] * of_balance(exchange, i, j));
        let gained_in_stores = exchange.weigh_history(&weights, j, of_exchange);
        for i in 0..N {
            let (q, c) = (history.now.loading.row(i)[j], eps * history.now.liquid.row(i)[j]);
            // Rounding of the share must not leave a trace below zero; the liquid's explicit part closes the balance.
            let loading = (q + of_exchange * history.of_loading(&weights, i, j)).max(0.0);
            let rest = heights[j] * (c - (loading - q) - gained_in_stores[i]);
            let (flux, weight) = (step.history_flux.row(i), step.history_weight.row_mut(i));
            // Written so that a flux kept whole on both sides leaves no rounding of its own.
            let with = |outward: f64| rest + (weight[j] - outward) * flux[j] + outward * gained[i];
            let mut liquid = with(weight[j + 1]);
            if liquid < 0.0 {
                let entered = rest + weight[j] * flux[j];
                let enough = (entered * (1.0 - limits.rounding) / flux[j + 1]).clamp(0.0, weight[j + 1]);
                liquid = with(enough);
                weight[j + 1] = enough;
                fell_back += 1;
            }
            step.loading.row_mut(i)[j] = loading;
            step.liquid.row_mut(i)[j] = liquid / heights[j];
        }
        j += 1;
    }
    for i in 0..N {
        let (history_weight, weight) = (step.history_weight.row(i), step.flux_weight.row_mut(i));
        for face in 0..=cells {
            weight[face] = weights.of_new(history_weight[face]) / transport.cell_m;
        }
    }
    fell_back
}
