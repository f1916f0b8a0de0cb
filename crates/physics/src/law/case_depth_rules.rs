//! Rules for case depth against time and temperature.
