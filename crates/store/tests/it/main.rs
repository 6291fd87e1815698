//! What `store` promises from outside.

mod encode_profiles;
