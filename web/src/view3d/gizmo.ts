/** Moves the selected thing along an axis or in a plane. Nothing else in the view can be moved by a drag that turns it. */
import { Object3D, Vector3, type Mesh } from 'three';
import { TransformControls } from 'three/addons/controls/TransformControls.js';
import type { Xyz } from '../api/schema';
import type { World } from './world';

export class Gizmo {
  private readonly controls: TransformControls;
  private readonly helper: Object3D;
  private readonly grip = new Object3D();
  private readonly from = new Vector3();
  private readonly home = new Vector3();
  private mesh: Mesh | null = null;

  /** `dropped` hears how far the thing was moved, mm, and says whether it was saved. */
  constructor(private readonly world: World, canvas: HTMLCanvasElement, private readonly dropped: (by: Xyz) => Promise<boolean>) {
    this.controls = new TransformControls(world.camera, canvas);
    world.onCamera = () => (this.controls.camera = world.camera);
    this.controls.setSpace('world');
    this.controls.setSize(0.8);
    this.helper = this.controls.getHelper();
    world.scene.add(this.helper, this.grip);
    this.helper.visible = false;
    this.controls.addEventListener('change', () => world.draw());
    this.controls.addEventListener('dragging-changed', (event) => {
      world.controls.enabled = event.value !== true;
      if (event.value !== true) void this.drop();
    });
    this.controls.addEventListener('objectChange', () => this.follow());
  }

  /** Whether the pointer is over one of its arrows. */
  get active(): boolean {
    return this.mesh !== null && (this.controls.dragging || this.controls.axis !== null);
  }

  /** Grips a thing at a place; nothing for null. */
  grips(mesh: Mesh | null, at: Xyz | null): void {
    if (this.controls.dragging) return;
    this.mesh = mesh;
    if (mesh && at) {
      this.home.copy(mesh.position);
      this.from.set(...at);
      this.grip.position.set(...at);
      this.controls.attach(this.grip);
    } else this.controls.detach();
    this.helper.visible = mesh !== null;
    this.world.draw();
  }

  /** The thing follows the gizmo. */
  private follow(): void {
    this.mesh?.position.copy(this.grip.position).sub(this.from).add(this.home);
  }

  private async drop(): Promise<void> {
    const by = this.grip.position.clone().sub(this.from);
    const { mesh } = this;
    if (!mesh || by.length() < 1e-6) return;
    if (await this.dropped(by.toArray())) return;
    // Refused: back to where it was.
    mesh.position.copy(this.home);
    this.grip.position.copy(this.from);
    this.world.draw();
  }

  dispose(): void {
    this.controls.dispose();
  }
}
