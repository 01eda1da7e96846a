//! The rule sets: limits and clauses as data, never mixed.
