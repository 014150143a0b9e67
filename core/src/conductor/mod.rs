//! What one conductor does: resistance, heat, drop, short circuit.
