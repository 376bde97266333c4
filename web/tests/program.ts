/** The program under test, served on a free port. */
import { spawn, type ChildProcess } from 'node:child_process';
import { resolve } from 'node:path';
import { createInterface } from 'node:readline';

const PROGRAM = process.env.TUBEWRIGHT_PROGRAM ?? resolve('../target/debug/tubewright');

export interface Served {
  address: string;
  stop(): Promise<void>;
}

/** Starts the program on a data folder and waits until it has printed its address. */
export async function serve(data: string): Promise<Served> {
  const program: ChildProcess = spawn(PROGRAM, ['serve', '--port', '0', '--data', data], { stdio: ['ignore', 'pipe', 'inherit'] });
  const address = await new Promise<string>((found, failed) => {
    program.once('error', failed);
    program.once('exit', (code) => failed(new Error(`${PROGRAM} ended with ${code}`)));
    createInterface({ input: program.stdout! }).on('line', (line) => {
      const match = /http:\/\/[\d.:]+/.exec(line);
      if (match) found(match[0]);
    });
  });
  return {
    address,
    stop: () =>
      new Promise((ended) => {
        program.removeAllListeners('exit');
        program.once('exit', () => ended());
        program.kill('SIGTERM');
      }),
  };
}
