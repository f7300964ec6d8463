//! A model from a program, without a file.
