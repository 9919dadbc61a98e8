//! The `heatbook` program. All of it is in the library.

fn main() -> std::process::ExitCode {
    heatbook::cli::main()
}
