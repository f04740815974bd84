//! Tests across the crate's rooms, in one program: thirty-four that each linked the whole solver took minutes to build.
//!
//! | module | what it holds to account |
//! |---|---|
//! | `laws` | laws by themselves, against libraries that share no code with them |
//! | `scheme` | the numerical method: conservation, order, closed forms of one column, errors as reported, effort |
//! | `bed` | what a bed can hold beyond the plain column: activities, films, shells, spaces, stream tubes, rest, lifting |
//! | `cycle` | steps, recipes and the cyclic steady state |
//! | `inputs` | case files, names and what is refused |
//! | `studies` | more than one run: sweeps, the salt account, equilibrium theory; every answer as serde writes it; what stands beside figures |
//! | `trade` | the calibration of the default resin to published ratings |
//! | `rooms` | the order of the rooms of `core/src` |
//! | `sources` | every citation has its entry in `core/references.bib` |
//!
//! `cargo test -p brinefront-tests effort` runs what has the word in its path. Records that tests compare with are in
//! `snapshots`. `sweep_memory.rs` is a program of its own, because the system counts the memory of a process, not of a test.

mod laws {
    mod activity_library;
    mod libraries;
}

mod scheme {
    mod accuracy;
    mod closed_forms;
    mod conservation;
    mod coverage;
    mod effort;
    mod march_against_newton;
    mod order;
    mod promises;
    mod random_cases;
    mod tracer;
}

mod bed {
    mod activities;
    mod film_coupling;
    mod hydraulics;
    mod interdiffusion;
    mod lifted_bed;
    mod radial;
    mod sorbed_salt;
    mod standby;
    mod ten_cations;
    mod vessel;
}

mod cycle {
    mod new_resin;
    mod potassium;
    mod recipes;
    mod reclaim;
    mod rinse_ends;
    mod salt_purity;
    mod service_rest;
    mod settling;
    mod steady;
    mod through_time;
}

mod inputs {
    mod bad_input;
    mod case_file;
    mod diffusivity_sets;
    mod names;
}

mod studies {
    mod judgements;
    mod leakage_target;
    mod salt_account;
    mod serialised;
    mod sweep_stream;
    mod waves;
}

mod trade {
    mod calibration;
}

mod rooms;
mod sources;
