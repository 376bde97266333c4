/** Measuring between two picked places: a line with its length, kept until it is taken away. */
import { BufferGeometry, Float32BufferAttribute, Group, Line, LineBasicMaterial, Vector3 } from 'three';
import type { Xyz } from '../api/schema';
import { empty } from './dispose';
import type { World } from './world';

/** Two places and what lies between them. */
export interface Taped {
  from: Xyz;
  to: Xyz;
}

export class Tape {
  private readonly lines = new Group();
  private first: Xyz | null = null;
  private taped: Taped[] = [];

  constructor(private readonly world: World, private readonly words: (mm: number) => string) {
    world.root.add(this.lines);
  }

  /** Takes a picked place: the first of two, or the second. */
  pick(at: Xyz): void {
    if (this.first) {
      this.taped.push({ from: this.first, to: at });
      this.first = null;
    } else this.first = at;
    this.show();
  }

  /** Takes everything away. */
  clear(): void {
    this.first = null;
    this.taped = [];
    this.show();
  }

  get count(): number {
    return this.taped.length;
  }

  private show(): void {
    empty(this.lines);
    for (const { from, to } of this.taped) {
      const geometry = new BufferGeometry();
      geometry.setAttribute('position', new Float32BufferAttribute([...from, ...to], 3));
      const line = new Line(geometry, new LineBasicMaterial({ color: this.world.ground.accent, depthTest: false }));
      line.renderOrder = 14;
      this.lines.add(line);
    }
    const length = ({ from, to }: Taped) => new Vector3(...from).distanceTo(new Vector3(...to));
    const middle = ({ from, to }: Taped) => from.map((v, i) => (v + to[i]!) / 2) as Xyz;
    this.world.labels.set('tape', [
      ...this.taped.map((t, i) => ({ key: `${i}`, at: middle(t), text: this.words(length(t)), kind: 'place' as const })),
      ...this.taped.flatMap((t, i) => [t.from, t.to].map((at, j) => ({ key: `${i} ${j}`, at, text: '×', kind: 'bad' as const }))),
      ...(this.first ? [{ key: 'first', at: this.first, text: '×', kind: 'bad' as const }] : []),
    ]);
    this.world.draw();
  }
}
