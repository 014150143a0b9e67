//! The review from outside: every rule at, just under and just over its limit; planted
//! mistakes; what it promises of any design.

mod attested;
mod computed;
mod demos;
mod domains;
mod edit;
mod harness;
mod properties;
mod rows_conductor;
mod rows_fault;
mod rows_insulation;
mod rows_pack;
mod rows_protection;
mod rows_reading;
mod rows_sequence;
mod turnings;
mod workings;
