//! Hardness of martensite, bainite, ferrite-pearlite and austenite.
