/** The axes in the corner of the view: always in sight, turned as the camera is. */
import { Vector3, type Camera } from 'three';

const SIZE = 34;

/** Draws into an SVG of 96 by 96 with one line and one text for each of x, y, z. */
export class Triad {
  private readonly axis = new Vector3();
  private readonly parts: { line: SVGLineElement; text: SVGTextElement }[];

  constructor(svg: SVGSVGElement) {
    const groups = [...svg.querySelectorAll('g')];
    this.parts = groups.map((g) => ({ line: g.querySelector('line')!, text: g.querySelector('text')! }));
  }

  turn(camera: Camera): void {
    this.parts.forEach(({ line, text }, i) => {
      this.axis.set(0, 0, 0).setComponent(i, 1).transformDirection(camera.matrixWorldInverse);
      const [x, y] = [48 + SIZE * this.axis.x, 48 - SIZE * this.axis.y];
      line.setAttribute('x2', x.toFixed(1));
      line.setAttribute('y2', y.toFixed(1));
      text.setAttribute('x', (48 + (SIZE + 10) * this.axis.x).toFixed(1));
      text.setAttribute('y', (48 - (SIZE + 10) * this.axis.y + 4).toFixed(1));
      // An axis that points at the eye has no room for its name.
      text.style.visibility = Math.hypot(this.axis.x, this.axis.y) < 0.2 ? 'hidden' : 'visible';
    });
  }
}
