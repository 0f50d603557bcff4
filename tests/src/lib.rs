//! Checks of Airpath against sources outside the project.
