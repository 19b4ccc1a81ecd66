"""Laws: numbers in, arrays out. Nothing here knows a material, a maker or a screen."""
