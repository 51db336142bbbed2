//! One command for everything that the continuous checks run.
