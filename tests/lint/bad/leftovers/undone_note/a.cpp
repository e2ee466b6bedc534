// TODO: later
