//! What `store` promises from outside.

mod any_bytes;
mod any_text;
mod bombs;
mod carry;
mod carry_findings;
mod change;
mod charts;
mod colour_of_looks;
mod colours;
mod documents;
mod encode_profiles;
mod figures;
mod follow;
mod forty;
mod found;
mod gdtf;
mod gdtf_write;
mod harvest_supper;
mod history;
mod light;
mod music;
mod mvr;
mod starter;
mod supply;
mod versions;
mod wrong;
