//! What the system says this process has taken.

/// Peak resident set so far \[MB\], the kernel's VmHWM; none where the system does not count it. Nothing lowers it again.
pub fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kb| kb * 1024e-6)
}

/// Processor time so far, of all threads \[s\]; none where the system does not count it.
pub fn processor_s() -> Option<f64> {
    // Fields 14 and 15 of proc(5) stat, in ticks of a hundredth of a second; the name in field 2 may hold blanks.
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    let mut ticks = stat.rsplit_once(')')?.1.split_whitespace().skip(11).map(str::parse::<f64>);
    Some((ticks.next()?.ok()? + ticks.next()?.ok()?) / 100.0)
}
