//! A service run.

use brinefront::inputs::service;

brinefront::fields_of_service! {
    brinefront_derive::python_class;
    /// The service run: its flow, and where it ends, at a leakage limit or a throughput, whichever is first.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, a run without an end, or a rest without its place.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> bf.Service(20.0, limit_mg_per_l_caco3=17.0)
    /// Service(flow_bv_per_h=20.0, limit_mg_per_l_caco3=17.0, service_flow='down')
    class Service("service") of service::Service {}
}
