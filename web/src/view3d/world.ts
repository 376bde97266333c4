/** The 3D scene: camera, lights and drawing loop. Millimetres, z up. */
import {
  AmbientLight, Color, DirectionalLight, Group, HemisphereLight, OrthographicCamera, PerspectiveCamera, Plane, Raycaster, Scene, Vector2, Vector3, WebGLRenderer,
} from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import type { Xyz } from '../api/schema';
import { Labels } from './labels';

/** A view direction. */
export type View = 'home' | 'front' | 'back' | 'left' | 'right' | 'up' | 'below';

/** A section: what lies on the far side of a plane across an axis is cut away. */
export interface Section {
  axis: 0 | 1 | 2;
  /** Where the plane stands, mm. */
  at: number;
}

const FROM: Record<View, Xyz> = {
  home: [0.75, 0.85, 0.6], front: [1, 0, 0.0001], back: [-1, 0, 0.0001], left: [0, 1, 0.0001], right: [0, -1, 0.0001], up: [-0.0001, 0, 1], below: [-0.0001, 0, -1],
};

/** How close a view zooms: below 1, since a header does not fill its bounding sphere. */
const FILL = 0.85;

/** Frame interval above which frames are drawn coarser while something moves, ms: fewer than 25 frames a second. */
const SLOW = 40;

/** Resolutions for frames while something moves, as shares of the screen's along each side. */
const SHARES = [1, 0.6, 0.35];

/** Slow frames in a row before the next lower resolution, and fast frames in a row before the next higher. */
const SLOW_ONES = 2;
const QUICK_ONES = 60;

/** Pause after which frames have full resolution again, ms. */
const REST = 250;

/** Colours of the theme. */
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
  private readonly perspective = new PerspectiveCamera(32, 1, 5, 60000);
  private readonly parallel = new OrthographicCamera(-1, 1, 1, -1, -60000, 60000);
  /** Parallel for a view straight from a side, else in perspective. */
  camera: PerspectiveCamera | OrthographicCamera = this.perspective;
  /** Called when the camera is another one. */
  onCamera: (() => void) | null = null;
  readonly root = new Group();
  readonly controls: OrbitControls;
  readonly labels: Labels;
  readonly renderer: WebGLRenderer;
  ground: Ground = { dark: false, ink: '#222222', paper: '#f6f2e9', accent: '#a33b20', bad: '#b3261e' };
  /** Called before each frame, so that handles keep their size on the screen; `coarse`: the frame must be fast. */
  onFrame: ((coarse: boolean) => void) | null = null;
  private wanted = false;
  /** Index of the present resolution, and how many frames in a row were slow or fast at it. */
  private coarse = 0;
  private slow = 0;
  private quick = 0;
  private lastFrame = -Infinity;
  private rest = 0;
  /** Whether the user has chosen a view; until then everything is kept in view. */
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
    for (const camera of [this.perspective, this.parallel]) camera.up.set(0, 0, 1);
    this.scene.add(this.root, this.perspective, this.parallel);
    canvas.addEventListener('webglcontextlost', this.lost);
    canvas.addEventListener('webglcontextrestored', this.restored);
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

  /** Called when the browser takes the 3D context away, and when it gives it back. */
  onContext: ((lost: boolean) => void) | null = null;

  private readonly lost = (event: Event): void => {
    event.preventDefault();
    this.onContext?.(true);
  };

  private readonly restored = (): void => {
    this.onContext?.(false);
    this.draw();
  };

  private light(): void {
    const key = new DirectionalLight(0xfff6e8, 2.1);
    key.position.set(-600, 900, 1400);
    const fill = new DirectionalLight(0xdfe8ff, 0.8);
    fill.position.set(900, -500, 400);
    this.perspective.add(fill);
    this.parallel.add(fill.clone());
    this.scene.add(key, new HemisphereLight(0xffffff, 0x8a8272, 1.3), new AmbientLight(0xffffff, 0.25));
  }

  /** Requests one frame; further requests before it is drawn have no effect. Its duration is set on the host, for measurements. */
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

  /** Lowers the resolution while frames are slow, and restores it once nothing has moved for a moment. */
  private keepPace(now: number): void {
    const apart = now - this.lastFrame;
    this.lastFrame = now;
    window.clearTimeout(this.rest);
    // A frame in full resolution is slow too: only a longer pause counts.
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

  /** Screen pixels per CSS pixel. */
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
    this.perspective.aspect = width / height;
    this.perspective.updateProjectionMatrix();
    this.frame();
    if (this.turned) this.draw();
    else this.look('home');
  }

  /** Target of a view: centre and half the diagonal of what matters. */
  aim(min: number[], max: number[]): void {
    const [low, high] = [new Vector3(...min), new Vector3(...max)];
    this.reach = Math.max(low.distanceTo(high) / 2, 50);
    this.center = low.add(high).multiplyScalar(0.5).toArray();
  }

  /** Half the height of the parallel view at zoom 1, mm. */
  private half = 300;

  private frame(): void {
    const wide = this.half * this.perspective.aspect;
    Object.assign(this.parallel, { left: -wide, right: wide, top: this.half, bottom: -this.half });
    this.parallel.updateProjectionMatrix();
  }

  private use(camera: PerspectiveCamera | OrthographicCamera): void {
    if (this.camera === camera) return;
    this.camera = camera;
    this.controls.object = camera;
    this.onCamera?.();
  }

  /** Fits a part, from where the camera looks now. */
  zoomTo(min: number[], max: number[]): void {
    const [low, high] = [new Vector3(...min), new Vector3(...max)];
    const target = low.clone().add(high).multiplyScalar(0.5);
    const reach = Math.max(low.distanceTo(high) / 2, 40);
    const from = this.camera.position.clone().sub(this.controls.target).normalize();
    this.turned = true;
    this.controls.target.copy(target);
    this.camera.position.copy(target).addScaledVector(from, this.distance(reach));
    this.parallel.zoom = this.half / (1.3 * reach);
    this.parallel.updateProjectionMatrix();
    this.draw();
  }

  private distance(reach: number): number {
    return (FILL * reach) / Math.sin((this.perspective.fov * Math.PI) / 360) / Math.min(this.perspective.aspect, 1);
  }

  /** Cuts away what lies beyond a plane; null for nothing. */
  setSection(section: Section | null): void {
    const normal = new Vector3();
    if (section) normal.setComponent(section.axis, -1);
    this.renderer.clippingPlanes = section ? [new Plane(normal, section.at)] : [];
    this.draw();
  }

  /** What is shown now, as PNG. */
  picture(): Promise<Blob | null> {
    this.renderer.render(this.scene, this.camera);
    return new Promise((done) => this.renderer.domElement.toBlob(done, 'image/png'));
  }

  /** Fits everything, seen from a side; `chosen` by the user, so that it stays. */
  look(view: View, chosen = false): void {
    this.turned ||= chosen;
    const distance = this.distance(this.reach);
    this.half = (FILL * this.reach) / Math.min(this.perspective.aspect, 1);
    this.parallel.zoom = 1;
    this.frame();
    this.use(view === 'home' ? this.perspective : this.parallel);
    const target = new Vector3(...this.center);
    this.controls.target.copy(target);
    this.camera.position.copy(new Vector3(...FROM[view]).normalize().multiplyScalar(distance).add(target));
    this.controls.maxDistance = distance * 8;
    this.controls.update();
    this.draw();
  }

  /** Rotates about the target, rad. */
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

  /** Pans by shares of the view. */
  pan(right: number, up: number): void {
    this.turned = true;
    const size = this.camera === this.parallel ? this.half / this.parallel.zoom : this.camera.position.distanceTo(this.controls.target) * Math.tan((this.perspective.fov * Math.PI) / 360);
    const x = new Vector3().setFromMatrixColumn(this.camera.matrix, 0).multiplyScalar(right * size);
    const y = new Vector3().setFromMatrixColumn(this.camera.matrix, 1).multiplyScalar(up * size);
    this.camera.position.add(x).add(y);
    this.controls.target.add(x).add(y);
    this.draw();
  }

  /** Zooms in (below 1) or out (above 1). */
  zoom(by: number): void {
    this.turned = true;
    this.parallel.zoom /= by;
    this.parallel.updateProjectionMatrix();
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
    if (this.camera === this.parallel) return (2 * this.half) / this.parallel.zoom / Math.max(this.host.clientHeight, 1);
    const away = this.camera.position.distanceTo(at);
    return (2 * away * Math.tan((this.perspective.fov * Math.PI) / 360)) / Math.max(this.host.clientHeight, 1);
  }

  /** Applies the colours of the theme. */
  setGround(ground: Ground): void {
    this.ground = ground;
    this.scene.background = new Color(ground.paper);
    this.draw();
  }

  dispose(): void {
    window.clearTimeout(this.rest);
    this.watch.disconnect();
    this.controls.dispose();
    const canvas = this.renderer.domElement;
    canvas.removeEventListener('webglcontextlost', this.lost);
    canvas.removeEventListener('webglcontextrestored', this.restored);
    this.renderer.dispose();
  }
}
