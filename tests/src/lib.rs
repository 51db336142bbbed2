//! End-to-end tests of Plumbray, and checks of it against values from outside the project.
