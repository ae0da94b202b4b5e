"""Files that meters and network analysers leave: what they hold is recognised, or asked for."""
