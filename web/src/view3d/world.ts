/** The bay as three draws it: one scene that is told what to show and says what is pointed at. Millimetres, z up. */
import {
  AmbientLight, Color, DirectionalLight, Group, HemisphereLight, PerspectiveCamera, Raycaster, Scene, Vector2, Vector3, WebGLRenderer,
} from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import type { Xyz } from '../api/schema';
import { Labels } from './labels';

/** A direction from which the bay is looked at. */
export type View = 'home' | 'front' | 'left' | 'up';

const FROM: Record<View, Xyz> = { home: [0.75, 0.85, 0.6], front: [1, 0, 0.0001], left: [0, 1, 0.0001], up: [-0.0001, 0, 1] };

/** How near a view comes: below 1, as a header does not fill the ball around its corners. */
const FILL = 0.85;

/** Frames farther apart than this while something moves are drawn coarser, ms: fewer than 25 a second. */
const SLOW = 40;

/** Shares of the screen's own points, along each side, that frames may be drawn with while something moves. */
const SHARES = [1, 0.6, 0.35];

/** Slow frames in a row after which the next coarser share is taken, and quick ones after which the next finer. */
const SLOW_ONES = 2;
const QUICK_ONES = 60;

/** Rest after which all is drawn in full again, ms. */
const REST = 250;

/** Colours that follow the ground. */
export interface Ground {
  dark: boolean;
  ink: string;
  paper: string;
  accent: string;
  bad: string;
}

/** Scene, camera, lights and the loop that draws when something has changed. */
export class World {
  readonly scene = new Scene();
  readonly camera = new PerspectiveCamera(32, 1, 5, 60000);
  readonly root = new Group();
  readonly controls: OrbitControls;
  readonly labels: Labels;
  readonly renderer: WebGLRenderer;
  ground: Ground = { dark: false, ink: '#222222', paper: '#f6f2e9', accent: '#a33b20', bad: '#b3261e' };
  /** Called before each frame, so that handles keep their size on the screen; `coarse`: it must be drawn quickly. */
  onFrame: ((coarse: boolean) => void) | null = null;
  private wanted = false;
  /** Which of the shares frames keep up with while something moves, and how many in a row were slow or quick with it. */
  private coarse = 0;
  private slow = 0;
  private quick = 0;
  private lastFrame = -Infinity;
  private rest = 0;
  /** Whether the person has chosen where to look from; until then all of it is kept in view. */
  private turned = false;
  private readonly watch: ResizeObserver;
  private readonly raycaster = new Raycaster();
  private center: Xyz = [0, 0, 0];
  private reach = 600;

  constructor(
    private readonly host: HTMLElement,
    canvas: HTMLCanvasElement,
    labelHost: HTMLElement,
  ) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.setShare(1);
    this.camera.up.set(0, 0, 1);
    this.scene.add(this.root, this.camera);
    this.light();
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = !window.matchMedia('(prefers-reduced-motion: reduce)').matches;
    this.controls.dampingFactor = 0.18;
    this.controls.zoomToCursor = true;
    this.controls.addEventListener('change', () => this.draw());
    this.controls.addEventListener('start', () => (this.turned = true));
    this.labels = new Labels(labelHost);
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(host);
    this.resize();
  }

  private light(): void {
    const key = new DirectionalLight(0xfff6e8, 2.1);
    key.position.set(-600, 900, 1400);
    const fill = new DirectionalLight(0xdfe8ff, 0.8);
    fill.position.set(900, -500, 400);
    this.camera.add(fill);
    this.scene.add(key, new HemisphereLight(0xffffff, 0x8a8272, 1.3), new AmbientLight(0xffffff, 0.25));
  }

  /** Asks for one frame; asking again before it is drawn costs nothing. What it took stands at the host, for those who measure. */
  draw(): void {
    if (this.wanted) return;
    this.wanted = true;
    requestAnimationFrame(() => {
      this.wanted = false;
      const begun = performance.now();
      this.keepPace(begun);
      this.controls.update();
      this.onFrame?.(this.renderer.getPixelRatio() < this.ratio);
      this.renderer.render(this.scene, this.camera);
      this.labels.place(this.camera, this.host.clientWidth, this.host.clientHeight);
      this.host.dataset.frameMs = (performance.now() - begun).toFixed(1);
    });
  }

  /** Draws coarser while frames come too slowly one after another, and in full once nothing has moved for a moment. */
  private keepPace(now: number): void {
    const apart = now - this.lastFrame;
    this.lastFrame = now;
    window.clearTimeout(this.rest);
    // A frame drawn in full takes its time too: only a longer pause is rest.
    const moving = apart < 4 * REST;
    this.slow = moving && apart > SLOW ? this.slow + 1 : 0;
    this.quick = moving && apart < SLOW / 2 ? this.quick + 1 : 0;
    const step = this.slow >= SLOW_ONES ? 1 : this.quick >= QUICK_ONES ? -1 : 0;
    if (step !== 0 && SHARES[this.coarse + step] !== undefined) {
      this.coarse += step;
      this.slow = this.quick = 0;
    }
    this.setShare(moving ? SHARES[this.coarse]! : 1);
    if (moving && this.coarse > 0) {
      this.rest = window.setTimeout(() => {
        this.lastFrame = -Infinity;
        this.draw();
      }, REST);
    }
  }

  /** The screen's own points for one of the page's. */
  private get ratio(): number {
    return Math.min(window.devicePixelRatio, 2);
  }

  private setShare(share: number): void {
    const ratio = share * this.ratio;
    if (ratio !== this.renderer.getPixelRatio()) this.renderer.setPixelRatio(ratio);
  }

  private resize(): void {
    const width = Math.max(this.host.clientWidth, 1);
    const height = Math.max(this.host.clientHeight, 1);
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    if (this.turned) this.draw();
    else this.look('home');
  }

  /** What a view looks at: the middle and half the diagonal of what matters. */
  aim(min: number[], max: number[]): void {
    const [low, high] = [new Vector3(...min), new Vector3(...max)];
    this.reach = Math.max(low.distanceTo(high) / 2, 50);
    this.center = low.add(high).multiplyScalar(0.5).toArray();
  }

  /** Looks from a side at all of it; `chosen` by the person, so that it stays. */
  look(view: View, chosen = false): void {
    this.turned ||= chosen;
    const narrow = Math.min(this.camera.aspect, 1);
    const distance = (FILL * this.reach) / Math.sin((this.camera.fov * Math.PI) / 360) / narrow;
    const target = new Vector3(...this.center);
    this.controls.target.copy(target);
    this.camera.position.copy(new Vector3(...FROM[view]).normalize().multiplyScalar(distance).add(target));
    this.controls.maxDistance = distance * 8;
    this.controls.update();
    this.draw();
  }

  /** Turns about the target, rad. */
  orbit(right: number, up: number): void {
    this.turned = true;
    const offset = this.camera.position.clone().sub(this.controls.target);
    const flat = Math.hypot(offset.x, offset.y);
    const distance = offset.length();
    const around = Math.atan2(offset.y, offset.x) + right;
    const height = Math.min(Math.max(Math.atan2(offset.z, flat) + up, -1.5), 1.5);
    offset.set(Math.cos(around) * Math.cos(height), Math.sin(around) * Math.cos(height), Math.sin(height));
    this.camera.position.copy(this.controls.target).addScaledVector(offset, distance);
    this.draw();
  }

  /** Moves sideways by shares of the view. */
  pan(right: number, up: number): void {
    this.turned = true;
    const size = this.camera.position.distanceTo(this.controls.target) * Math.tan((this.camera.fov * Math.PI) / 360);
    const x = new Vector3().setFromMatrixColumn(this.camera.matrix, 0).multiplyScalar(right * size);
    const y = new Vector3().setFromMatrixColumn(this.camera.matrix, 1).multiplyScalar(up * size);
    this.camera.position.add(x).add(y);
    this.controls.target.add(x).add(y);
    this.draw();
  }

  /** Comes nearer (below 1) or goes away (above 1). */
  zoom(by: number): void {
    this.turned = true;
    const offset = this.camera.position.clone().sub(this.controls.target).multiplyScalar(by);
    this.camera.position.copy(this.controls.target).add(offset);
    this.draw();
  }

  /** A ray through a place of the screen. */
  rayAt(clientX: number, clientY: number): Raycaster {
    const box = this.host.getBoundingClientRect();
    const x = ((clientX - box.left) / box.width) * 2 - 1;
    const y = 1 - ((clientY - box.top) / box.height) * 2;
    this.raycaster.setFromCamera(new Vector2(x, y), this.camera);
    return this.raycaster;
  }

  /** Millimetres that one pixel covers at a place. */
  mmPerPixel(at: Vector3): number {
    const away = this.camera.position.distanceTo(at);
    return (2 * away * Math.tan((this.camera.fov * Math.PI) / 360)) / Math.max(this.host.clientHeight, 1);
  }

  /** Takes the colours of the page. */
  setGround(ground: Ground): void {
    this.ground = ground;
    this.scene.background = new Color(ground.paper);
    this.draw();
  }

  dispose(): void {
    window.clearTimeout(this.rest);
    this.watch.disconnect();
    this.controls.dispose();
    this.renderer.dispose();
  }
}
