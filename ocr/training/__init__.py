"""Simulators and training of the reader's two networks; see RETRAIN.md."""
