//! The `heatbook` program. All of it is in the library.

#![deny(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::unreachable,
    clippy::todo,
    clippy::unimplemented
)]

fn main() -> std::process::ExitCode {
    heatbook::cli::main()
}
