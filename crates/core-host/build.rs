//! Compiles the receiver's core by the system's C++ compiler, as strictly as for a board.

use std::path::Path;

fn main() {
    let core = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../receiver/core");
    println!("cargo:rerun-if-changed={}", core.display());
    println!("cargo:rerun-if-changed=interface.cpp");
    let mut build = cc::Build::new();
    build.cpp(true).std("c++17").include(&core).file("interface.cpp");
    // What virtual panels need; identity, orders and encoders are a board's.
    for file in [
        "artnet",
        "ddp",
        "e131",
        "guard",
        "receiver",
        "receiver_artnet",
        "receiver_ddp",
        "receiver_e131",
    ] {
        build.file(core.join(file).with_extension("cpp"));
    }
    // Frames of large walls come at once: optimized in every profile.
    build.opt_level(2).warnings(true).extra_warnings(true);
    for flag in ["-fno-exceptions", "-fno-rtti"] {
        build.flag_if_supported(flag);
    }
    // No exceptions, no heap, no iostreams: nothing of the C++ library is used.
    build.cpp_link_stdlib(None);
    build.compile("glowloom_core");
}
