import { expect, test } from 'vitest';
import { events } from './client';

/** A response whose body arrives in the given chunks. */
function answer(bits: string[]): Response {
  const coder = new TextEncoder();
  return new Response(new ReadableStream({
    start(controller) {
      bits.forEach((bit) => controller.enqueue(coder.encode(bit)));
      controller.close();
    },
  }));
}

test('events come whole however the stream is cut', async () => {
  const text = 'event: begun\ndata: {"search":"s1"}\n\n: still here\n\nevent: better\r\ndata: {"bends":\r\ndata: 9}\r\n\r\n';
  for (const size of [1, 7, text.length]) {
    const bits = text.match(new RegExp(`[^]{1,${size}}`, 'g')) ?? [];
    const heard = [];
    for await (const event of events(answer(bits))) heard.push(event);
    expect(heard).toEqual([{ name: 'begun', data: { search: 's1' } }, { name: 'better', data: { bends: 9 } }]);
  }
});
