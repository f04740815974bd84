//! Where a step flows, and what becomes of its front.

/// Where a step flows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FlowDirection {
    /// Nothing flows.
    NoFlow,
    /// As service does.
    WithService,
    /// Against service.
    AgainstService,
    /// A backwash rises, whichever way service runs.
    Upward,
}

/// The way of a flow through the vessel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Nothing flows.
    None,
    /// Upward.
    Up,
    /// Downward.
    Down,
}

/// What becomes of the front between two liquids.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Front {
    /// There is none: the liquid finds its like, rests, or keeps the bed in motion.
    None,
    /// The liquid that enters keeps behind it.
    Stable,
    /// Fingers may run ahead.
    Fingers,
}
