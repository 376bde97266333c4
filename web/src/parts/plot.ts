/** What the charts use of Observable Plot, so that the rest of it is left out of the page. */
export { areaY, dot, lineY, plot, pointerX, raster, ruleX, ruleY, text } from '@observablehq/plot';
