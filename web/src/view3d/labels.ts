/** Words in the bay: plain elements over the picture, moved with the camera. They say nothing that the rulers do not. */
import { Vector3, type Camera } from 'three';
import type { Xyz } from '../api/types';

/** One label: where it stands, what it says, how it looks. */
export interface Label {
  key: string;
  at: Xyz;
  text: string;
  kind: 'run' | 'place' | 'axis' | 'bad' | 'handle';
  fill?: string;
  ink?: string;
}

/** Keeps one element for each label. */
export class Labels {
  private readonly shown = new Map<string, { element: HTMLElement; at: Vector3 }>();
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
      this.host.append(element);
      entry = { element, at: new Vector3() };
      this.shown.set(key, entry);
    }
    entry.element.className = `label ${label.kind}`;
    entry.element.textContent = label.text;
    entry.element.style.backgroundColor = label.fill ?? '';
    entry.element.style.color = label.ink ?? '';
    entry.at.set(...label.at);
  }

  /** Puts every label where its place now is on the screen. */
  place(camera: Camera, width: number, height: number): void {
    for (const { element, at } of this.shown.values()) {
      this.point.copy(at).project(camera);
      const seen = this.point.z < 1 && Math.abs(this.point.x) < 1.1 && Math.abs(this.point.y) < 1.1;
      element.style.visibility = seen ? 'visible' : 'hidden';
      const x = ((this.point.x + 1) / 2) * width;
      const y = ((1 - this.point.y) / 2) * height;
      element.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px) translate(-50%, -50%)`;
    }
  }
}
