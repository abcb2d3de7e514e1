"""The program's two looks: an aviary in the evening, and in the morning.

Leaf greens and straw on bark or eggshell. Every colour a text is drawn in
stands out from what lies behind it by 4.5 to 1 or more (WCAG 2.2, 1.4.3); a
test measures it.
"""

from __future__ import annotations

from textual.theme import Theme

EVENING = Theme(
    name="evening",
    dark=True,
    primary="#7fb394",
    secondary="#d8b872",
    accent="#e3a96b",
    foreground="#e7e6da",
    background="#141c18",
    surface="#1b2520",
    panel="#24312a",
    success="#8fcf9a",
    warning="#ecc76a",
    error="#f59c88",
    variables={
        "text-primary": "#9fd0b3",
        "text-secondary": "#e2c88e",
        "text-accent": "#efbf8a",
        "text-success": "#9fdaa9",
        "text-warning": "#f0cf7c",
        "text-error": "#f8ab99",
        "text-muted": "#b3b9ab",
        "text-disabled": "#98a092",
        "block-cursor-background": "#d8b872",
        "block-cursor-foreground": "#141c18",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#37473d",
        "block-cursor-blurred-foreground": "#e7e6da",
        "footer-background": "#24312a",
        "footer-foreground": "#e7e6da",
        "footer-key-foreground": "#e2c88e",
        "footer-description-foreground": "#e7e6da",
        "footer-item-background": "transparent",
        "footer-key-background": "transparent",
        "input-cursor-background": "#e7e6da",
        "input-cursor-foreground": "#141c18",
        "input-selection-background": "#4f6b5a",
        "border": "#7fb394",
        "border-blurred": "#4a5c51",
        "link-color": "#9fd0b3",
        "scrollbar": "#4a5c51",
        "scrollbar-background": "#1b2520",
        "scrollbar-hover": "#7fb394",
        "scrollbar-active": "#d8b872",
    },
)

MORNING = Theme(
    name="morning",
    dark=False,
    primary="#2f6b4c",
    secondary="#7a5610",
    accent="#94500f",
    foreground="#1f2a24",
    background="#f3eee1",
    surface="#fbf8ef",
    panel="#e6e0cf",
    success="#1f6b34",
    warning="#7d5300",
    error="#a52a1c",
    variables={
        "text-primary": "#24593e",
        "text-secondary": "#6a4a0c",
        "text-accent": "#7c430c",
        "text-success": "#1a5a2b",
        "text-warning": "#6b4700",
        "text-error": "#932317",
        "text-muted": "#4f5a50",
        "text-disabled": "#5d665e",
        "block-cursor-background": "#2f6b4c",
        "block-cursor-foreground": "#fbf8ef",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#d3d9c3",
        "block-cursor-blurred-foreground": "#1f2a24",
        "footer-background": "#e6e0cf",
        "footer-foreground": "#1f2a24",
        "footer-key-foreground": "#6a4a0c",
        "footer-description-foreground": "#1f2a24",
        "footer-item-background": "transparent",
        "footer-key-background": "transparent",
        "input-cursor-background": "#1f2a24",
        "input-cursor-foreground": "#fbf8ef",
        "input-selection-background": "#bcd3c2",
        "border": "#2f6b4c",
        "border-blurred": "#a9a48f",
        "link-color": "#24593e",
        "scrollbar": "#b5b09b",
        "scrollbar-background": "#f3eee1",
        "scrollbar-hover": "#2f6b4c",
        "scrollbar-active": "#7a5610",
    },
)

THEMES = (EVENING, MORNING)
