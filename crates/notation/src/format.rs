//! The written form.
