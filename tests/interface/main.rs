//! The built program, seen from outside: its output, its files, its exit codes, its help, and the README.
//!
//! A failure here means that somebody who uses the program sees something else than was promised.

mod calibrations;
mod closed_forms;
mod counts;
mod decisions;
mod dependencies;
mod examples;
mod faults;
mod help;
mod hostile_decisions;
mod long_runs;
mod measured;
mod odd_files;
mod options;
mod plan;
mod prediction;
mod program;
mod readme;
mod resolve;
mod review;
mod scenarios;
mod shelf;
mod tally;
