//! What the system says this process has taken.

/// Peak resident set so far \[MB\], the kernel's VmHWM; none where the system does not count it. Nothing lowers it again.
pub fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kb| kb * 1024e-6)
}
