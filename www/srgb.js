/** Greys on a screen: sRGB values, light and lightness of a neutral. Pure. (IEC 61966-2-1; CIE 15:2018, 8.2.1) */

/** sRGB value 0–255 to light 0–1. @param {number} value */
export function lightOf(value) {
  const v = value / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
}

/** Light 0–1 to the sRGB value 0–255, not rounded. @param {number} light */
export function valueOf(light) {
  return 255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055);
}

/** Lightness L* to the sRGB value of a neutral, a whole number 0–255. @param {number} lightness */
export function greyOf(lightness) {
  const light = lightness > 8 ? ((lightness + 16) / 116) ** 3 : lightness * 27 / 24389;
  return Math.round(valueOf(Math.min(1, Math.max(0, light))));
}

/** The same as a colour of CSS. @param {number} lightness */
export function cssGrey(lightness) {
  const value = greyOf(lightness);
  return `rgb(${value} ${value} ${value})`;
}
