//! What is made when the crate is built: the theory page, where the documentation asks for it by the feature `theory`.

#[cfg(feature = "theory")]
#[path = "build/theory.rs"]
mod theory;

#[cfg(feature = "theory")]
fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!("cargo::rerun-if-changed=build");
    theory::render()
}

#[cfg(not(feature = "theory"))]
fn main() {
    println!("cargo::rerun-if-changed=build.rs");
}
