"""Tables with their sources: what lies where in the spectrum, which crystals can be bought."""
