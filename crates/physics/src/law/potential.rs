//! Carbon of an alloy steel against the carbon potential.
