/** The text editor, loaded when the text view is opened. */
import { autocompletion } from '@codemirror/autocomplete';
import { HighlightStyle, StreamLanguage, syntaxHighlighting } from '@codemirror/language';
import { toml } from '@codemirror/legacy-modes/mode/toml';
import { lintGutter, setDiagnostics, type Diagnostic } from '@codemirror/lint';
import { EditorState } from '@codemirror/state';
import { EditorView, keymap } from '@codemirror/view';
import { tags } from '@lezer/highlight';
import { basicSetup } from 'codemirror';
import schema from '../../../../docs/job.schema.json';
import type { ProblemView } from '../../api/schema';
import { completeFrom, type Schema } from './complete';

const theme = EditorView.theme({
  '&': { height: '100%', fontSize: '13.5px', color: 'var(--ink)', backgroundColor: 'var(--sheet)' },
  '.cm-scroller': { fontFamily: 'ui-monospace, monospace', lineHeight: '1.5' },
  '.cm-gutters': { backgroundColor: 'var(--well)', color: 'var(--quiet)', border: 'none' },
  '.cm-activeLine, .cm-activeLineGutter': { backgroundColor: 'color-mix(in srgb, var(--accent-wash) 55%, transparent)' },
  '.cm-content': { caretColor: 'var(--ink)' },
  '.cm-cursor': { borderLeftColor: 'var(--ink)' },
  '&.cm-focused .cm-selectionBackground, .cm-selectionBackground': { backgroundColor: 'var(--accent-wash) !important' },
  '.cm-tooltip': { backgroundColor: 'var(--sheet)', color: 'var(--ink)', border: '1px solid var(--edge)' },
  '.cm-tooltip-autocomplete ul li[aria-selected]': { backgroundColor: 'var(--accent)', color: 'var(--on-accent)' },
  '.cm-panels': { backgroundColor: 'var(--well)', color: 'var(--ink)' },
});

/** In the colours of the page, which have contrast enough in both themes. */
const colours = HighlightStyle.define([
  { tag: [tags.string, tags.number, tags.bool, tags.atom], color: 'var(--accent)' },
  { tag: tags.comment, color: 'var(--quiet)', fontStyle: 'italic' },
  { tag: [tags.propertyName, tags.keyword], color: 'var(--ink)', fontWeight: '600' },
]);

export interface TextEditor {
  view: EditorView;
  /** Underlines the problems of the text. */
  mark(problems: ProblemView[]): void;
  /** Puts the cursor at a line, from 1. */
  goTo(line: number, column?: number): void;
  dispose(): void;
}

/** An editor in `host`; `changed` hears every text, `save` Ctrl+S. */
export function textEditor(host: HTMLElement, text: string, label: string, complete: boolean, changed: (text: string) => void, save: () => void): TextEditor {
  // In a root of its own the editor adopts its styles; in the page they would be inline, which the server's policy forbids.
  const root = host.shadowRoot ?? host.attachShadow({ mode: 'open' });
  const view = new EditorView({
    parent: root,
    root,
    state: EditorState.create({
      doc: text,
      extensions: [
        keymap.of([{ key: 'Mod-s', preventDefault: true, run: () => (save(), true) }]),
        basicSetup,
        StreamLanguage.define(toml),
        syntaxHighlighting(colours),
        lintGutter(),
        ...(complete ? [autocompletion({ override: [completeFrom(schema as unknown as Schema)] })] : []),
        EditorView.contentAttributes.of({ 'aria-label': label, tabindex: '0' }),
        EditorView.updateListener.of((update) => update.docChanged && changed(update.state.doc.toString())),
        theme,
      ],
    }),
  });
  const place = (line: number, column: number) => {
    const at = view.state.doc.line(Math.min(Math.max(line, 1), view.state.doc.lines));
    return { at, from: Math.min(at.from + Math.max(column - 1, 0), at.to) };
  };
  return {
    view,
    mark(problems) {
      const found = problems.map((p): Diagnostic => {
        const { at, from } = place(p.line ?? 1, p.column ?? 1);
        const message = [p.message, p.expected && `Expected: ${p.expected}`, ...p.hints].filter(Boolean).join('\n');
        return { from: from === at.to ? at.from : from, to: at.to, severity: p.severity === 'error' ? 'error' : 'warning', message };
      });
      view.dispatch(setDiagnostics(view.state, found));
    },
    goTo(line, column = 1) {
      const { from } = place(line, column);
      view.dispatch({ selection: { anchor: from }, effects: EditorView.scrollIntoView(from, { y: 'center' }) });
      view.focus();
    },
    dispose: () => view.destroy(),
  };
}
