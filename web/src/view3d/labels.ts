/** Labels in the 3D view: plain elements over the canvas that follow the camera. They only repeat what the rulers show. */
import { Vector3, type Camera } from 'three';
import type { Xyz } from '../api/schema';

/** A label: position, text and style. */
export interface Label {
  key: string;
  at: Xyz;
  text: string;
  kind: 'run' | 'place' | 'axis' | 'bad' | 'handle' | 'grip';
  fill?: string;
  ink?: string;
}

/** Ranks: of two labels that overlap, the higher stays. */
const RANK: Record<Label['kind'], number> = { bad: 0, handle: 1, grip: 2, run: 3, place: 4, axis: 5 };

interface Shown {
  element: HTMLElement;
  at: Vector3;
  rank: number;
  /** Half its width and height on the screen, px; measured once for a text. */
  half: [number, number] | null;
}

/** Manages one element for each label. */
export class Labels {
  private readonly shown = new Map<string, Shown>();
  private readonly point = new Vector3();

  constructor(private readonly host: HTMLElement) {}

  /** Replaces the labels of one layer; their keys begin with its name. */
  set(layer: string, labels: Label[]): void {
    const keep = new Set(labels.map((l) => `${layer}/${l.key}`));
    for (const [key, { element }] of this.shown) {
      if (key.startsWith(`${layer}/`) && !keep.has(key)) {
        element.remove();
        this.shown.delete(key);
      }
    }
    for (const label of labels) this.put(`${layer}/${label.key}`, label);
  }

  private put(key: string, label: Label): void {
    let entry = this.shown.get(key);
    if (!entry) {
      const element = document.createElement('span');
      // Hidden until it is placed.
      element.style.visibility = 'hidden';
      this.host.append(element);
      entry = { element, at: new Vector3(), rank: 0, half: null };
      this.shown.set(key, entry);
    }
    if (entry.element.textContent !== label.text) entry.half = null;
    entry.rank = RANK[label.kind];
    entry.element.className = `label ${label.kind}`;
    entry.element.textContent = label.text;
    entry.element.style.backgroundColor = label.fill ?? '';
    entry.element.style.color = label.ink ?? '';
    entry.at.set(...label.at);
  }

  /** Moves every label to its position on the screen; hides those that would cover one of higher rank. */
  place(camera: Camera, width: number, height: number): void {
    const taken: [x: number, y: number, half: [number, number]][] = [];
    for (const entry of [...this.shown.values()].sort((a, b) => a.rank - b.rank)) {
      this.point.copy(entry.at).project(camera);
      const x = ((this.point.x + 1) / 2) * width;
      const y = ((1 - this.point.y) / 2) * height;
      const half = (entry.half ??= [entry.element.offsetWidth / 2, entry.element.offsetHeight / 2]);
      const free = taken.every(([u, v, h]) => Math.abs(u - x) >= h[0] + half[0] || Math.abs(v - y) >= h[1] + half[1]);
      const seen = free && this.point.z < 1 && Math.abs(this.point.x) < 1.1 && Math.abs(this.point.y) < 1.1;
      if (seen) taken.push([x, y, half]);
      entry.element.style.visibility = seen ? 'visible' : 'hidden';
      entry.element.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px) translate(-50%, -50%)`;
    }
  }
}
