//! Checks of orangeloom against things outside the project.
