//! The film on the screen: transform, drawing at full depth, handles and magnifier.
