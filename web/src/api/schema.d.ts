// Made by `npm run api` from crates/server/openapi.json; not to be edited.
export interface paths {
    "/api/bookings/{id}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        post?: never;
        /** Cancels a booking; refused when one of its offcuts has been used since. */
        delete: operations["unbook"];
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/examples": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Examples to start a job from. */
        get: operations["examples"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/health": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Checks that the server responds and its store can be written; an error names the failing part. */
        get: operations["health"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** All jobs of the shop. */
        get: operations["jobs"];
        put?: never;
        /** Creates a job. */
        post: operations["create_job"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/import": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Imports a job from a ZIP file. */
        post: operations["import_job"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A job as its page shows it. */
        get: operations["job"];
        put?: never;
        post?: never;
        /** Deletes an archived job for good, with its history. Offcuts that it put on the shelf stay there. */
        delete: operations["delete_job"];
        options?: never;
        head?: never;
        /** Renames, archives or restores a job. */
        patch: operations["describe_job"];
        trace?: never;
    };
    "/api/jobs/{id}/alternatives": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /**
         * The alternatives and tested changes of the search that made the job's head, as in the event `done`; none when it was made
         *     otherwise.
         */
        get: operations["alternatives"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/archive": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A job as one ZIP file. */
        get: operations["archive"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/assembly": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The order in which the runs go in, and where each is tacked. */
        get: operations["assembly"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/bookings": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The bookings of a job. */
        get: operations["bookings"];
        put?: never;
        /** Reserves the stock of the job's cut plan: removes what it uses from stock on hand and adds its offcuts, all or nothing. */
        post: operations["book"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/compare": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Two revisions of a job side by side. */
        get: operations["compare"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/copy": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Copies the current state of a job, without its history. */
        post: operations["copy_job"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/cut": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /**
         * Plans the cuts of the job's routes from its stock and the stock on hand, and saves the plan. The response is a stream of
         *     the events `begun`, `better` (at least one), `pace` and `done`, or `failed`. It can be stopped like a search: the best plan so far
         *     is saved. When the client disconnects, planning stops and nothing is saved.
         */
        post: operations["cut"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/documents/{name}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A text document of a job. */
        get: operations["document"];
        /** Writes a text document of a job; it is kept with its mistakes, which are listed. */
        put: operations["put_document"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/edits": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Edits job.toml or a file beside it. An edit that causes problems is saved too; the response lists them. */
        post: operations["edit"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/exports/{format}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A job in a format: a file, or a ZIP when there are several. */
        get: operations["export"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/fit": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** How far each run comes out off its inlet, or as measured what to change. */
        get: operations["fit"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/fit/accept": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Accepts the correction: adds it to fit.toml and writes asbuilt.toml. */
        post: operations["accept_fit"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/fit/recut": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Makes a job of what is left to be cut of a build, as corrected: trial pieces, with what is left of the items as remnants. */
        post: operations["recut_fit"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/fit/shop": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /**
         * What all builds of the shop that were measured say of its own errors, in this job's unit: to be put under `[shop]` of
         *     fit.toml. Builds that cannot be worked out are left out.
         */
        get: operations["pooled_fits"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/gas/band": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Between which torques the curve lies when everything that the job does not give is picked at random. */
        post: operations["band"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/gas/curve": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Torque, power and breathing over engine speed, as drawn or with other sizes. */
        post: operations["curve"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/gas/map": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Torque over engine speed and one size. */
        post: operations["map"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/gas/sound": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What the open end would sound like, a WAV file: an impression, not a measurement. */
        get: operations["sound"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/gas/waves": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Pressures at the valves, where reflections come from, and the wave picture, at one speed. */
        post: operations["waves"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/meshes/{name}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /**
         * A mesh as the page draws it: the numbers of vertices and triangles (u32), then x, y, z of each vertex (f32), then
         *     three vertices of each triangle (u32), all little-endian.
         */
        get: operations["mesh"];
        /** Uploads a mesh file; an obstacle in job.toml then names it. */
        put: operations["put_mesh"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/papers": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The sheets of a job as one PDF. */
        get: operations["papers"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/papers/sheets": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Contents of the sheets of a job. */
        get: operations["sheets"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/photos/{name}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A small picture of a photo, grey, as the sensor has it. */
        get: operations["photo"];
        /** Adds a photo of printed markers to a job. It is looked through at once; one that cannot be used is refused. */
        put: operations["put_photo"];
        post?: never;
        /** Removes a photo from a job. */
        delete: operations["delete_photo"];
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/picture.svg": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** A small picture of a job. */
        get: operations["picture"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/quote": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The itemised quote, with its rates. */
        get: operations["quote"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/rates": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        /** Changes the job's own rates, which override the shop's. */
        put: operations["put_rates"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/redo": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Redoes the last undone change. */
        post: operations["redo"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/revisions": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Every revision of a job. */
        get: operations["revisions"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/revisions/{revision}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        /** Names a revision. */
        patch: operations["name_revision"];
        trace?: never;
    };
    "/api/jobs/{id}/revisions/{revision}/restore": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Restores an earlier revision by adding a new one with its documents. */
        post: operations["restore_revision"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/routes": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        /** Saves edited routes. */
        put: operations["put_routes"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/saw": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Which cuts of the job's plan are done. */
        get: operations["saw"];
        /** Saves which cuts of the job's plan are done; refused when the job has another plan by now. */
        put: operations["put_saw"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/searches": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /**
         * Routes every tube. The response is a stream of the events `begun`, `better` and `pace` (any number) and `done`, or
         *     `failed`.
         */
        post: operations["search"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/searches/{search}/stop": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Stops a search: it ends soon, with its best result. */
        post: operations["stop_search"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/sizes": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** First diameters and lengths by published rules, and what the firing order says. */
        get: operations["sizes"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/strength": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Heat, growth, stress and vibration of the header as routed, and the single changes that help. */
        get: operations["strength"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/strength/part": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** The same with one part of the job at another place of its run: for a part that is being dragged. Nothing is saved. */
        post: operations["part"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/survey": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /**
         * What the readings of survey.toml, and its photos, come to. A survey with mistakes lists them. Photos that were not looked
         *     through and adjusted yet are `pending`.
         */
        get: operations["survey"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/survey/adjust": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /**
         * Looks through the photos of a survey and adjusts them with its readings. The response is a stream of the events `begun`,
         *     `better` (a photo was looked through) and `done`, or `failed`. It can be stopped like a search; what was found in photos is kept.
         */
        post: operations["adjust_survey"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/survey/write": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Writes the places that `[[is]]` names into job.toml. */
        post: operations["write_survey"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/trial": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Figures of edited routes; nothing is saved. */
        post: operations["trial"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/jobs/{id}/undo": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Undoes the last change. */
        post: operations["undo"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/session": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Signs in. */
        post: operations["sign_in"];
        /** Signs out. */
        delete: operations["sign_out"];
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/shelf": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Lists stock on hand. */
        get: operations["shelf"];
        put?: never;
        /** Adds an item to stock on hand; the response is the whole list. */
        post: operations["add_to_shelf"];
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/shelf/{id}": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        post?: never;
        /** Removes an item from stock on hand for good. */
        delete: operations["remove_from_shelf"];
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/shop": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The shop; no sign-in needed. */
        get: operations["shop"];
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        /** Changes the shop's name or unit. */
        patch: operations["change_shop"];
        trace?: never;
    };
    "/api/stock": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The shop's file of stock and prices. */
        get: operations["stock"];
        /** Saves the shop's file, problems included; the response lists them. */
        put: operations["put_stock"];
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        /** Edits the shop's file by path; creates it when there is none. */
        patch: operations["edit_stock"];
        trace?: never;
    };
}
export type webhooks = Record<string, never>;
export interface components {
    schemas: {
        /** @description What a search stored with a revision. */
        AlternativeList: {
            /** @description The alternatives, best first. */
            alternatives: components["schemas"]["AlternativeView"][];
            /** @description Changes of the job that were tested, the most effective first. */
            relaxations: components["schemas"]["RelaxationView"][];
        };
        /** @description An alternative. */
        AlternativeView: {
            /** @description What it is best for; may be empty. */
            best_at: components["schemas"]["BestAt"][];
            /** @description Figures of the alternative. */
            figures: components["schemas"]["FiguresView"];
            /** @description From 1. */
            number: number;
            /** @description Routes of the alternative. */
            routes: components["schemas"]["RoutesView"];
        };
        /** @description A wave that arrives at an exhaust valve. */
        Arrival: {
            /**
             * Format: double
             * @description Crank angle at which its beginning arrives, degrees from the cylinder's firing, 0 to 720.
             */
            arrives_deg: number;
            /** @description Where it was reflected or passed over: the name of a collector, or null for an open end. */
            collector?: string | null;
            /** @description Where it comes from. */
            from: components["schemas"]["Origin"];
            /**
             * Format: double
             * @description Time on the way, ms.
             */
            on_the_way_ms: number;
            /**
             * Format: int32
             * @description The cylinder whose pulse it is.
             */
            pulse_of: number;
            /** @description Whether it is a wave of suction; else of pressure. */
            suction: boolean;
            /** @description Whether the exhaust valve is open then. */
            valve_open: boolean;
        };
        /** @description A run that is put in. */
        AssemblyStep: {
            /** @description Marks of the pieces that are already on its collector. */
            at_collector: string[];
            /** @description Marks of the pieces that are already on its flange. */
            at_flange: string[];
            /** @description Marks of the pieces that go in now, as one group. */
            group: string[];
            /** @description Unit direction of the flow at its start: off the studs. */
            off: components["schemas"]["Xyz"];
            /** @description Whether it starts at a port, and so goes onto its studs. */
            onto_studs: boolean;
            /** @description Name of the run. */
            run: string;
            /** @description Tacks to make before the next run goes in. */
            tacks: components["schemas"]["TackView"][];
        };
        /** @description How a header goes together on the vehicle. */
        AssemblyView: {
            /** @description The runs in the order in which they are put in. */
            steps: components["schemas"]["AssemblyStep"][];
        };
        /** @description A value that was taken for one that the job does not give. */
        Assumed: {
            /**
             * Format: double
             * @description Greatest value that engines have.
             */
            high: number;
            /** @description A fixed short name. */
            key: string;
            /**
             * Format: double
             * @description Least value that engines have.
             */
            low: number;
            /** @description Where it comes from. */
            source: string;
            /** @description Unit of the three; empty without one. */
            unit: string;
            /**
             * Format: double
             * @description The value taken.
             */
            value: number;
            /** @description What it is. */
            what: string;
        };
        /** @description A default that was taken. */
        AssumedAnswer: {
            /** @description The range it usually lies in. */
            range: number[];
            /** @description Where it comes from. */
            source: string;
            /** @description Its unit. */
            unit: string;
            /**
             * Format: double
             * @description The value that was taken.
             */
            value: number;
            /** @description What it is. */
            what: string;
        };
        /** @description The version of the job that the client has. */
        AtVersion: {
            /**
             * Format: int64
             * @description Version of the job.
             */
            version: number;
        };
        /** @description Speeds of a band. */
        BandRequest: {
            /** @description The speeds. */
            speeds: components["schemas"]["SpeedBand"];
        };
        /** @description The engine bay. */
        BayView: {
            /** @description Bounding box of everything. */
            bounds: components["schemas"]["BoundsView"];
            /** @description Collectors, where they stand. */
            collectors: components["schemas"]["CollectorView"][];
            /** @description Obstacles to stay clear of. */
            keepouts: components["schemas"]["KeepoutView"][];
            /** @description Brackets, slip joints and bungs with their sensors, as simple solids where the runs carry them. */
            parts: components["schemas"]["PartView"][];
            /** @description Ports in the order of the file. */
            ports: components["schemas"]["PortView"][];
            /** @description Tail pipes. */
            tails: components["schemas"]["TailView"][];
            /** @description Paths of sockets to bolts and plugs. */
            tools: components["schemas"]["ToolView"][];
        };
        /** @description Bellows of the job. */
        BellowsFigures: {
            /**
             * Format: double
             * @description How far one end moves across the other when hot, mm.
             */
            aside_mm: number;
            /**
             * Format: double
             * @description Where they begin, mm from the start.
             */
            at_mm: number;
            /** @description Their run. */
            run: string;
            /**
             * Format: double
             * @description By how much they get shorter when hot, mm, negative: longer.
             */
            shortens_mm: number;
        };
        /**
         * @description What an alternative can be best at.
         * @enum {string}
         */
        BestAt: "fewest joints" | "cheapest" | "most even" | "most room" | "least turning" | "most flexible";
        /** @description `better`: a better solution. */
        Better: {
            /** @description Number of bends. */
            bends: number;
            /** @description The routes. */
            routes: components["schemas"]["RoutesView"];
            /**
             * Format: double
             * @description Seconds passed.
             */
            seconds: number;
            /**
             * Format: double
             * @description Total bend angle, degrees.
             */
            turn_deg: number;
        };
        /** @description `better`, while planning cuts: a cheaper plan or a higher bound. */
        BetterPlan: {
            /**
             * Format: double
             * @description Stock, joints and cuts, money.
             */
            cost: number;
            /**
             * Format: double
             * @description No plan can cost less, money.
             */
            lower_bound: number;
            /**
             * Format: double
             * @description Seconds passed.
             */
            seconds: number;
        };
        /** @description A new booking. */
        Booked: {
            /** @description The booking. */
            booking: components["schemas"]["BookingView"];
            /** @description The job. */
            job: components["schemas"]["JobView"];
        };
        /** @description A cancelled booking. */
        BookingCancelled: {
            /** @description Id of the cancelled booking. */
            booking: string;
        };
        /** @description The bookings of a job. */
        BookingList: {
            /** @description The oldest first. */
            bookings: components["schemas"]["BookingView"][];
        };
        /** @description A booking. */
        BookingView: {
            /** @description Whether it is of the job's present plan. */
            current: boolean;
            /** @description Id of the booking. */
            id: string;
            /** @description Job of the booking. */
            job: string;
            /**
             * Format: int64
             * @description When it was made, milliseconds since 1970.
             */
            made: number;
            /** @description Hash of the plan that was booked. */
            plan: string;
        };
        /** @description A box along the axes. */
        BoundsView: {
            /** @description Greatest corner. */
            max: components["schemas"]["Xyz"];
            /** @description Least corner. */
            min: components["schemas"]["Xyz"];
        };
        /** @description A bracket of the job. */
        BracketFigures: {
            /**
             * Format: double
             * @description Its place on a run, mm from the start.
             */
            at_mm?: number | null;
            /** @description `tab`, `slotted` or `link`. */
            kind: string;
            /** @description How the place moves when hot, mm, with the bracket. */
            moves_mm: number[];
            /** @description What it holds. */
            on: string;
        };
        /**
         * @description From which side a run is built.
         * @enum {string}
         */
        BuildSide: "flange" | "collector" | "both";
        /** @description A run in the order of building. */
        BuildStep: {
            /** @description From which side. */
            from: components["schemas"]["BuildSide"];
            /** @description The run. */
            run: string;
        };
        /** @description A chance. */
        ChanceView: {
            /**
             * Format: double
             * @description Share of simulated builds.
             */
            share: number;
            /** @description In words: `20 % (1 in 5)`. */
            words: string;
        };
        /** @description Other sizes of a header, mm; what is not given stays as drawn. */
        Change: {
            /**
             * Format: double
             * @description Inside diameter of every primary, 10 to 200.
             */
            diameter_mm?: number | null;
            /**
             * Format: double
             * @description Length of every primary from the port face, 50 to 5000.
             */
            length_mm?: number | null;
            /**
             * Format: double
             * @description Inside diameter of the outlet of every collector, 10 to 300.
             */
            outlet_mm?: number | null;
        };
        /**
         * @description A change of the job: stable codes.
         * @enum {string}
         */
        ChangeCode: "unlock" | "lengthen_port_stubs" | "halve_stubs" | "reduce_clearance" | "reduce_all_clearances" | "reduce_tube_clearance" | "move_keepout" | "change_target" | "widen_tolerance" | "free_collector" | "free_inlets" | "add_tighter_bend";
        /** @description A run as a hand has changed it. */
        ChangedRun: {
            /** @description Kept as it is when the rest is routed; not given: as it was. */
            locked?: boolean | null;
            /** @description Start, intersection points and end, mm. */
            points: components["schemas"]["Xyz"][];
            /** @description CLR at each intersection point, mm. */
            radii: number[];
            /** @description Which: `primary 1`. */
            run: string;
        };
        /** @description A clocking that differs from its match mark. */
        ClockingChange: {
            /**
             * Format: double
             * @description Degrees past the match mark, right-hand rule about the flow.
             */
            from_mark_deg: number;
            /** @description The piece that is turned. */
            to: string;
        };
        /** @description A collector. */
        CollectorAnswer: {
            /** @description Name of the collector in the job. */
            collector: string;
            /** @description How far it moves when hot, mm. */
            moves_mm: number[];
        };
        /** @description The order around a collector. */
        CollectorOrderView: {
            /** @description Cylinders in the order around the inlets. */
            around: components["schemas"]["GapsView"];
            /** @description Name of the collector. */
            collector: string;
        };
        /** @description A collector. */
        CollectorView: {
            /** @description Centre of the inlet plane. */
            at: components["schemas"]["Xyz"];
            /** @description Direction of flow. */
            axis: components["schemas"]["Xyz"];
            /** @description What it takes up behind its inlet plane; empty: nothing is known of it. */
            body: components["schemas"]["ShapeView"][];
            /** @description The collector that its outlet feeds. */
            feeds?: string | null;
            /** @description Inlets of the collector. */
            inlets: components["schemas"]["InletView"][];
            /** @description Name of the collector. */
            name: string;
            /**
             * Format: double
             * @description Outside diameter of the tubes that enter, mm.
             */
            od: number;
            /** @description Centre of its outlet. */
            outlet: components["schemas"]["Xyz"];
            /**
             * Format: double
             * @description Least straight length entering it, mm.
             */
            stub: number;
            /** @description Across it, the roll of the inlets. */
            up: components["schemas"]["Xyz"];
        };
        /** @description One of two revisions. */
        Compared: {
            /**
             * Format: double
             * @description Stock, joints and cuts, money; null: not cut.
             */
            cost?: number | null;
            /** @description Currency of the quote. */
            currency?: string | null;
            /**
             * Format: int32
             * @description Welds between pieces; null: not cut.
             */
            joints?: number | null;
            /**
             * Format: double
             * @description Longest primary less the shortest, mm.
             */
            length_spread_mm?: number | null;
            /** @description Whether all requirements are met. */
            met: boolean;
            /** @description The revision. */
            revision: components["schemas"]["RevisionView"];
            /** @description Runs of the revision. */
            runs: components["schemas"]["ComparedRun"][];
            /**
             * Format: double
             * @description The quote's total; null: not priced.
             */
            total?: number | null;
            /** @description Number of requirements missed. */
            unmet_count: number;
        };
        /** @description A run of one of two revisions. */
        ComparedRun: {
            /** @description Number of bends. */
            bends: number;
            /**
             * Format: double
             * @description Clearance to the nearest obstacle, mm.
             */
            gap_to_keepouts_mm?: number | null;
            /**
             * Format: double
             * @description Clearance to the nearest tube, mm.
             */
            gap_to_tubes_mm?: number | null;
            /** @description Welds between its pieces. */
            joints?: number | null;
            /**
             * Format: double
             * @description Length of the centreline, mm.
             */
            length_mm: number;
            /** @description Centreline of the run. */
            line: components["schemas"]["LineView"];
            /** @description Index among the runs, from 0. */
            number: number;
            /**
             * Format: double
             * @description Outside diameter, mm.
             */
            od: number;
            /** @description Name of the run. */
            run: string;
            /**
             * Format: double
             * @description Total bend angle, degrees.
             */
            turn_deg: number;
        };
        /** @description Two revisions side by side. */
        Comparison: {
            /** @description The first revision. */
            a: components["schemas"]["Compared"];
            /** @description The second revision. */
            b: components["schemas"]["Compared"];
            /** @description Names of the documents that are different. */
            differ: string[];
        };
        /** @description Present version of a job that someone else changed first. */
        CurrentView: {
            /** @description Label of the last change. */
            label: string;
            /**
             * Format: int64
             * @description When it was made, milliseconds since 1970.
             */
            made: number;
            /**
             * Format: int64
             * @description Version that the job is at.
             */
            version: number;
        };
        /** @description A curve, with what it rests on. */
        CurveAnswer: {
            /** @description The curve. */
            curve: components["schemas"]["GasCurve"];
            /** @description What the job does not give. */
            defaults: components["schemas"]["Assumed"][];
            /** @description Inside diameters of tubes that can be bought, mm. */
            diameters_mm: number[];
            /** @description Sizes as drawn: mean length of the primaries, their inside diameter, that of the collectors' outlets. */
            drawn: components["schemas"]["DrawnSizes"];
            /** @description What was simplified. */
            notes: string[];
            /** @description The speeds that were asked for. */
            speeds: components["schemas"]["SpeedBand"];
        };
        /** @description A curve to compute. */
        CurveRequest: {
            /** @description Other sizes than drawn. */
            change?: components["schemas"]["Change"];
            /** @description How finely. */
            fineness: components["schemas"]["Fineness"];
            speeds?: components["schemas"]["SpeedBand"] | null;
        };
        /** @description `done`, after planning cuts: the plan is saved. */
        CutDone: {
            /** @description The job with its new plan. */
            job: components["schemas"]["JobView"];
        };
        /** @description A weld to cut open. */
        CutOpenView: {
            /** @description How far the end lies off then. */
            after: components["schemas"]["OffView"];
            /** @description Pieces that change then. */
            changes: components["schemas"]["PieceChange"][];
            /** @description Clockings that differ then. */
            clockings: components["schemas"]["ClockingChange"][];
            /**
             * Format: double
             * @description How far the face is dressed out of square, degrees.
             */
            dress_deg: number;
            /** @description The joint. */
            joint: string;
            /** @description Whether the pieces behind it are kept. */
            keep_pieces: boolean;
            /** @description Slip joints that differ then. */
            slides: components["schemas"]["SlideChange"][];
        };
        /**
         * @description The part of an item that is cut.
         * @enum {string}
         */
        CutPart: "leg 1" | "arc" | "leg 2" | "straight";
        /** @description How to plan the cuts. */
        CutRequest: {
            /** @description Whether stock on hand may be used. */
            shelf?: boolean;
            /**
             * Format: int64
             * @description The version that was seen.
             */
            version: number;
        };
        /** @description A saw cut. */
        CutView: {
            /** @description What lies on the blade's side: the mark of a piece, `offcut`, `scrap` or `end` (less than a blade is left). */
            blade_side: string;
            /**
             * Format: double
             * @description Length of what is held.
             */
            held_mm: number;
            /** @description True when the side towards the item's end 0 is held. */
            hold_start: boolean;
            /** @description Its name within the plan: `b1-2`. */
            id: string;
            /** @description True when the kerf lies beyond the line as seen from the item's end 0. */
            kerf_after: boolean;
            /** @description What the saw takes and truing after it, along the item's centreline. */
            kerf_mm: [
                number,
                number
            ];
            /**
             * Format: int32
             * @description Its place in the order of work on the item, from 1.
             */
            number: number;
            /**
             * Format: double
             * @description Width of the thin ring of scrap that comes off; 0 when less than a blade comes off the item's end.
             */
            ring_mm?: number | null;
            /** @description The end of a piece that the blade runs along. */
            saw: components["schemas"]["FaceView"];
            second?: components["schemas"]["FaceView"] | null;
            /** @description True when that is too short for bare jaws. */
            short_grip: boolean;
        };
        /** @description A new text of a document. */
        DocumentChange: {
            /** @description Short description of the change. */
            label: string;
            /** @description The text; null removes the document. */
            text?: string | null;
            /**
             * Format: int64
             * @description The version that was seen.
             */
            version: number;
        };
        /** @description A text document. */
        DocumentView: {
            /** @description Name of the document. */
            name: string;
            /** @description What is wrong with it, each with its place. */
            problems: components["schemas"]["ProblemView"][];
            /** @description Text of the document. */
            text: string;
            /** @description The document as a tree, keys in the order of the file, texts as written; null when it is not TOML. */
            tree?: unknown;
            /**
             * Format: int64
             * @description The job's version.
             */
            version: number;
        };
        /** @description Sizes of a header as drawn, mm. */
        DrawnSizes: {
            /**
             * Format: double
             * @description Inside diameter of the primaries.
             */
            diameter_mm: number;
            /**
             * Format: double
             * @description Mean length of the primaries from the port face.
             */
            length_mm: number;
            /**
             * Format: double
             * @description Inside diameter of the collectors' outlets.
             */
            outlet_mm: number;
        };
        /** @description One edit. */
        Edit: {
            /** @description What is done. */
            op: components["schemas"]["Op"];
            /** @description Where: `["port", 0, "at"]`. */
            path: components["schemas"]["PathStep"][];
            /** @description The value of `set` and `insert`: a text stays a text (`"1 5/8 in"`), numbers are in the file's unit. */
            value?: unknown;
        };
        /** @description Edits. */
        Edits: {
            /** @description The document; job.toml when none is named. One that is not there yet is made. */
            document?: string | null;
            /** @description The edits, applied in order. */
            edits: components["schemas"]["Edit"][];
            /** @description Short description of the change: `Move port 3`. */
            label: string;
            /**
             * Format: int64
             * @description The version that was seen.
             */
            version: number;
        };
        /**
         * @description Kind of an element of a run.
         * @enum {string}
         */
        ElementKind: "straight" | "bend";
        /** @description A straight or bend of a run. */
        ElementView: {
            /**
             * Format: double
             * @description Angle of a bend.
             */
            angle_deg?: number | null;
            /**
             * Format: double
             * @description CLR of a bend, mm.
             */
            clr?: number | null;
            /**
             * Format: double
             * @description Start along the run, mm.
             */
            from_mm: number;
            /** @description Straight or bend. */
            kind: components["schemas"]["ElementKind"];
            /**
             * Format: double
             * @description Turn of a bend's plane from that of the bend before, by the right-hand rule about the flow.
             */
            roll_deg?: number | null;
            /**
             * Format: double
             * @description Where it ends.
             */
            to_mm: number;
        };
        /** @description Standard ellipse of a point in a view. */
        Ellipse: {
            /**
             * Format: double
             * @description Longer half axis, mm.
             */
            long_mm: number;
            /**
             * Format: double
             * @description Shorter half axis, mm.
             */
            short_mm: number;
            /**
             * Format: double
             * @description From the view's first axis to the longer one, degrees.
             */
            turned_deg: number;
        };
        /** @description The pulse of one group of cylinders at both entries of a turbine. */
        EntryPulse: {
            /** @description The cylinders of the group. */
            cylinders: number[];
            /**
             * Format: double
             * @description The same at the other group's entry, whose exhaust valves are shut, kPa.
             */
            other_kpa: number;
            /**
             * Format: double
             * @description Greatest less least pressure over a cycle where its own entry ends in the turbine, kPa.
             */
            own_kpa: number;
            /**
             * Format: double
             * @description The same in decibels: 20 times its logarithm to base 10.
             */
            share_db: number;
            /**
             * Format: double
             * @description The second over the first, %.
             */
            share_percent: number;
        };
        /** @description Body of every error response. */
        ErrorBody: {
            /** @description The error. */
            error: components["schemas"]["ErrorView"];
        };
        /**
         * @description Kind of error.
         * @enum {string}
         */
        ErrorCode: "malformed" | "sign-in" | "forbidden" | "missing" | "method" | "refused" | "conflict" | "too-large" | "unsupported-media-type" | "unprocessable" | "problems" | "too-many" | "busy" | "disk-full" | "disk" | "read-only" | "database-unreachable" | "damaged" | "fault";
        /** @description An error. */
        ErrorView: {
            /** @description Kind of error. */
            code: components["schemas"]["ErrorCode"];
            current?: components["schemas"]["CurrentView"] | null;
            /** @description What was expected. */
            expected?: string | null;
            /** @description How to fix it. */
            hint?: string | null;
            /** @description Of a bug in Tubewright: its id in the log. */
            id?: string | null;
            /** @description What is wrong. */
            message: string;
            /** @description Problems of the documents. */
            problems?: components["schemas"]["ProblemView"][];
        };
        /**
         * @description What an event of a stream reports.
         * @enum {string}
         */
        EventName: "begun" | "better" | "pace" | "done" | "failed";
        /** @description The examples. */
        ExampleList: {
            /** @description All examples. */
            examples: components["schemas"]["ExampleView"][];
        };
        /** @description An example. */
        ExampleView: {
            /** @description What it shows. */
            about: string;
            /** @description Name of the example. */
            name: string;
            /** @description Title of the example. */
            title: string;
        };
        /** @description A line that a job adds to its quote. */
        ExtraView: {
            /**
             * Format: double
             * @description Price of one unit.
             */
            price: number;
            /**
             * Format: double
             * @description Quantity.
             */
            quantity: number;
            /** @description Unit. */
            unit: string;
            /** @description Name of the item. */
            what: string;
        };
        /** @description The end of a piece at a cut. */
        FaceView: {
            /**
             * Format: double
             * @description On the arc: from the first tangent line.
             */
            angle_deg?: number | null;
            /**
             * Format: double
             * @description Its line, along the item's centreline.
             */
            at_mm: number;
            /**
             * Format: double
             * @description The same along the inside.
             */
            end_inside_mm: number;
            /**
             * Format: double
             * @description From the end of that leg along the outside of the bend.
             */
            end_outside_mm: number;
            /**
             * Format: double
             * @description On a leg: from its tangent line outwards; on a straight: from its end 0.
             */
            from_mm?: number | null;
            /**
             * Format: double
             * @description Arc length from T1 along the inside of the bend, mm.
             */
            inside_mm?: number | null;
            /**
             * Format: int32
             * @description The leg whose end the next two are measured from; 1 is the left end of a straight.
             */
            leg: number;
            /** @description Mark of the piece. */
            mark: string;
            /** @description The part of the item that is cut. */
            on: components["schemas"]["CutPart"];
            /**
             * Format: double
             * @description Arc length from T1 along the outside of the bend, mm.
             */
            outside_mm?: number | null;
            /** @description What the saw leaves before the line, square to the cut, outside and inside of the bend, mm. */
            over_mm: [
                number,
                number
            ];
            /** @description True when the saw leaves so much that it is ground off to the line. */
            trued: boolean;
        };
        /** @description How a header fares. */
        Fares: {
            /**
             * Format: double
             * @description The first frequency, Hz.
             */
            first_hz: number;
            /**
             * Format: double
             * @description The greatest stress amplitude of the first six modes, MPa for 1 g.
             */
            mpa_per_g: number;
            /**
             * Format: double
             * @description The range there, MPa.
             */
            range_mpa: number;
            /** @description The run where that is. */
            run: string;
            /**
             * Format: double
             * @description The greatest share of the allowable stress range (of 300 MPa where the material has none).
             */
            share_of_allowable: number;
        };
        /** @description Figures of an alternative. */
        FiguresView: {
            /**
             * Format: double
             * @description Stock, joints and cuts, money.
             */
            cost: number;
            /**
             * Format: int32
             * @description Welds between pieces.
             */
            joints: number;
            /**
             * Format: double
             * @description Least clearance beyond what is needed, mm.
             */
            room_mm: number;
            /**
             * Format: double
             * @description Greatest share of its allowable stress range that a tube reaches when hot; null when it cannot be computed.
             */
            share_of_allowable?: number | null;
            /**
             * Format: double
             * @description Longest primary less the shortest, mm.
             */
            spread_mm: number;
            /**
             * Format: double
             * @description The quote's total, money.
             */
            total?: number | null;
            /**
             * Format: double
             * @description Total bend angle, degrees.
             */
            turn_deg: number;
            /**
             * Format: double
             * @description Weight of the bare tubes, kg.
             */
            weight_kg?: number | null;
        };
        /**
         * @description What exactly is missed, or why it cannot be met: stable codes.
         * @enum {string}
         */
        FindingCode: "route_count" | "no_port" | "no_collector" | "no_inlet" | "not_a_tube" | "bends_overlap" | "no_route_alone" | "end_off_place" | "end_off_axis" | "short_straight" | "waypoint_missed" | "length_off_target" | "length_spread" | "unknown_clr" | "turn_out_of_range" | "too_close" | "body_too_close" | "fouls_during_fitting" | "inlet_taken" | "wrong_inlet" | "inlet_reserved" | "does_not_feed" | "tail_enters_collector" | "unassignable" | "group_split" | "out_of_order" | "beyond_travel" | "straight_line_too_long" | "shortest_route_too_long" | "ports_too_close" | "too_few_inlets" | "not_accepted" | "wrong_collector" | "unknown_collector" | "stub_too_close" | "stub_fouls_during_fitting" | "cannot_be_cut" | "share_too_high" | "share_unknown";
        /**
         * @description How finely a curve is computed.
         * @enum {string}
         */
        Fineness: "coarse" | "fine";
        /** @description A piece. */
        FitPiece: {
            /** @description Its mark. */
            mark: string;
            /** @description How far it has come. */
            state: components["schemas"]["PieceProgress"];
        };
        /** @description A run as it is being built. */
        FitRun: {
            /** @description The same as corrected. */
            after: components["schemas"]["OffView"];
            /** @description How far the end lies off with the rest made as planned. */
            before: components["schemas"]["OffView"];
            built?: components["schemas"]["LineView"] | null;
            /** @description Chance to go in with the rest as planned and as corrected; null before anything is joined. */
            chance?: components["schemas"]["ChanceView"][] | null;
            /** @description Changes of pieces that are not cut yet. */
            changes: components["schemas"]["PieceChange"][];
            /** @description Clockings that differ from their match marks. */
            clockings: components["schemas"]["ClockingChange"][];
            cut_open?: components["schemas"]["CutOpenView"] | null;
            /**
             * Format: double
             * @description As drawn, mm.
             */
            drawn_length_mm: number;
            /** @description What is to be expected before the saw. */
            forecast: components["schemas"]["ForecastView"];
            /** @description Names of its joints along the flow. */
            joints: string[];
            /**
             * Format: double
             * @description Length of the centreline as corrected, mm.
             */
            length_mm: number;
            /** @description Whether its end meets the inlet as corrected. */
            met: boolean;
            open_end?: components["schemas"]["OpenEndView"] | null;
            /** @description Its pieces along the flow. */
            pieces: components["schemas"]["FitPiece"][];
            /** @description What stands out: errors, and readings that were left out, in words. */
            remarks: string[];
            /** @description The run. */
            run: string;
            /** @description Slip joints that are pushed in otherwise than drawn. */
            slides: components["schemas"]["SlideChange"][];
        };
        /** @description A build. */
        FitView: {
            /** @description Whether something was cut, joined or measured. */
            begun: boolean;
            /** @description Digits of the plan, as at the foot of the sheets. */
            data: string;
            /** @description fit.toml as a tree; null without one. */
            document?: unknown;
            /** @description Clearances that the corrected build loses, in words. */
            lost_gaps: string[];
            /** @description Whether every run meets its inlet as corrected. */
            met: boolean;
            /** @description In which order the runs are best built; empty once the build has begun. */
            order: components["schemas"]["BuildStep"][];
            /** @description The runs, in the order of the routes. */
            runs: components["schemas"]["FitRun"][];
            /** @description What only looks wrong in fit.toml. */
            warnings: components["schemas"]["ProblemView"][];
        };
        /** @description What is to be expected before the saw. */
        ForecastView: {
            /** @description Chance to go in as drawn. */
            goes_in: components["schemas"]["ChanceView"];
            /** @description Ways to finish the run, the best first; none once it is being built. */
            remedies: components["schemas"]["RemedyView"][];
            /**
             * Format: double
             * @description Of its direction, degrees.
             */
            sd_direction_deg: number;
            /**
             * Format: double
             * @description Of the length, mm.
             */
            sd_length_mm: number;
            /**
             * Format: double
             * @description Standard deviation of the end's place, mm.
             */
            sd_place_mm: number;
            /** @description Sources of error and their share of the variance, the largest first. */
            sources: components["schemas"]["SourceShare"][];
        };
        /**
         * @description An export format.
         * @enum {string}
         */
        FormatCode: "step" | "stl" | "3mf" | "glb" | "dxf" | "svg" | "xyz" | "lra" | "cutlist" | "quote" | "fixture";
        /** @description A copy of an example. */
        FromExample: {
            /** @description The example's name. */
            example: string;
        };
        /** @description A starter job. */
        FromStarter: {
            /** @description Specification of the engine. */
            starter: components["schemas"]["StarterRequest"];
        };
        /** @description A job.toml. */
        FromText: {
            /** @description Name of the job; default the one in the text. */
            name?: string | null;
            /** @description The text. */
            toml: string;
        };
        /** @description Cylinders that go together. */
        GapsView: {
            /** @description The cylinders. */
            cylinders: number[];
            /** @description Degrees of crank between their firings, once round the cycle. */
            gaps_deg: number[];
        };
        /** @description Between which torques a curve lies when everything that the job does not give is picked at random. */
        GasBand: {
            /** @description A tenth lies above, N m. */
            high_nm: number[];
            /** @description A tenth of the samples lies below, N m. */
            low_nm: number[];
            /** @description Engine speeds, rpm. */
            rpm: number[];
            /** @description How many samples. */
            samples: number;
        };
        /** @description Torque, power and breathing over engine speed. */
        GasCurve: {
            /**
             * Format: double
             * @description Mean torque of these speeds, N m.
             */
            mean_torque_nm: number;
            /** @description Power, kW. */
            power_kw: number[];
            /** @description Length of every primary from the port face, mm. */
            primaries_mm: number[];
            /** @description Engine speeds, rpm. */
            rpm: number[];
            /** @description Whether every speed settled. */
            settled: boolean;
            /** @description Greatest less least trapped mass over the mean, %. */
            spread_percent: number[];
            /** @description Torque at the crank, N m. */
            torque_nm: number[];
            /** @description Fresh gas over what the swept volume holds of outside air. */
            volumetric_efficiency: number[];
        };
        /** @description Torque over engine speed and one size. */
        GasMap: {
            /**
             * Format: double
             * @description Value with the greatest mean torque, mm.
             */
            best_mm: number;
            /**
             * Format: double
             * @description Its value as drawn, mm; for lengths the mean.
             */
            drawn_mm: number;
            /** @description Mean torque by value, N m. */
            mean_torque_nm: number[];
            /** @description Engine speeds, rpm. */
            rpm: number[];
            /** @description Which size changes. */
            size: components["schemas"]["Size"];
            /** @description Torque by value and speed, N m. */
            torque_nm: number[][];
            /** @description Its values, ascending, mm. */
            values_mm: number[];
            /**
             * @description Values around the best between which mean torque falls by 0.1 % at most, mm; at the end of what was tried: not known
             *     further.
             */
            within_0_1_percent_mm: number[];
        };
        /**
         * @description Why a kept gas answer is not used.
         * @enum {string}
         */
        GasRefusal: "stale" | "unreadable" | "no_speed";
        /** @description Where mass flow and temperature of the gas come from. */
        GasSource: {
            /** @description Whether that answer has the gas along every run (`gas --waves`), or only where it leaves the cylinders. */
            along_runs: boolean;
            refused?: components["schemas"]["GasRefusal"] | null;
            /**
             * Format: double
             * @description Engine speed of the kept gas answer that they are from, rpm; null: a mean flow at peak power.
             */
            rpm?: number | null;
        };
        /** @description What the gas does at one speed. */
        GasWaves: {
            /** @description Pressures at the valves of every cylinder. */
            cylinders: components["schemas"]["ValvePressures"][];
            /** @description How much of one group's pulse reaches the other group's entry of a turbine; one for each group of a divided flange. */
            entries: components["schemas"]["EntryPulse"][];
            /** @description The picture of every run that gas leaves by: a primary with what is behind its collector. */
            pictures: components["schemas"]["WavePicture"][];
            /**
             * Format: double
             * @description Engine speed, rpm.
             */
            rpm: number;
            /** @description Gas along every pipe of the exhaust. */
            runs: components["schemas"]["RunGas"][];
            /** @description Whether cycles repeated. */
            settled: boolean;
        };
        /**
         * @description A group of quote lines.
         * @enum {string}
         */
        GroupCode: "bends" | "tube" | "shelf" | "flanges" | "collectors" | "parts" | "consumables" | "labour" | "extras";
        /** @description Health of the server. */
        Health: {
            /** @description Always true; a problem is an error response. */
            ok: boolean;
            /** @description Version of the program. */
            version: string;
        };
        /** @description A change that helps. */
        Help: {
            /** @description The header with it. */
            after: components["schemas"]["Fares"];
            /** @description Direction of the slot or link. */
            along?: number[] | null;
            /**
             * Format: double
             * @description Its place on a run, mm from the start.
             */
            at_mm?: number | null;
            /**
             * Format: double
             * @description Force on the bracket when hot, N; of a slip joint the axial force that it takes away.
             */
            force_n: number;
            /** @description What is changed. */
            kind: components["schemas"]["HelpKind"];
            /**
             * Format: double
             * @description How much longer a run is, mm.
             */
            longer_mm?: number | null;
            /** @description The run or `collector NAME` it is on. */
            on: string;
            /**
             * Format: double
             * @description Overlap of a slip joint, mm.
             */
            overlap_mm?: number | null;
            /** @description Start, intersection points and end of a longer run, mm. */
            points?: number[][] | null;
            /**
             * Format: double
             * @description Price of the part, in the currency of the rates.
             */
            price: number;
            /** @description CLR at each of its intersection points, mm. */
            radii?: number[] | null;
            /**
             * Format: double
             * @description How far the slip joint slides, mm, negative: together.
             */
            slides_mm: number;
            /**
             * Format: double
             * @description Stiffness of the bracket that it was solved with, N/mm.
             */
            stiffness_n_per_mm?: number | null;
            /** @description The table to add to job.toml; of a longer run the one of routes.toml. */
            table: string;
        };
        /**
         * @description Kind of a change.
         * @enum {string}
         */
        HelpKind: "slip" | "tab" | "slotted" | "link" | "longer";
        /** @description One run hotter than the others. */
        HotterRun: {
            /**
             * Format: double
             * @description How much hotter, K.
             */
            by_k: number;
            /**
             * Format: double
             * @description Greatest stress range then, over the greatest one now.
             */
            range_times: number;
            /** @description The run that matters most. */
            run: string;
        };
        /** @description An inlet. */
        InletView: {
            /** @description Centre of the inlet. */
            at: components["schemas"]["Xyz"];
            /** @description From 1. */
            number: number;
        };
        /** @description The shape of an item. */
        ItemShapeView: {
            /**
             * Format: double
             * @description Angle.
             */
            angle_deg: number;
            /**
             * Format: double
             * @description CLR, mm.
             */
            clr: number;
            /** @enum {string} */
            kind: "bend";
            /** @description Legs before and after the arc, mm. */
            legs: [
                number,
                number
            ];
            /**
             * Format: double
             * @description Length of the centreline, mm.
             */
            length: number;
        } | {
            /** @enum {string} */
            kind: "straight";
            /**
             * Format: double
             * @description Its length, mm.
             */
            length: number;
        };
        /** @description An item of stock. */
        ItemView: {
            /** @description Its cuts from its end 0 on; their numbers say the order of work. */
            cuts: components["schemas"]["CutView"][];
            /** @description Whether it is stock on hand. */
            from_shelf: boolean;
            /** @description `b1`, `s1` ... */
            id: string;
            /** @description Name of the stock line. */
            name: string;
            /**
             * Format: double
             * @description Outside diameter, mm.
             */
            od: number;
            /**
             * Format: double
             * @description Its price, money.
             */
            price: number;
            /** @description Parts of its pieces that are kept longer, to be cut to measurement: from and to along its centreline, mm. */
            reserve: [
                number,
                number
            ][];
            /** @description Shape of the item. */
            shape: components["schemas"]["ItemShapeView"];
            /** @description Use of each stretch, from end 0. */
            stretches: components["schemas"]["StretchView"][];
        };
        /** @description Changes of a job. */
        JobChange: {
            /** @description Whether the job is archived. */
            archived?: boolean | null;
            /** @description New name of the job. */
            name?: string | null;
            /**
             * Format: int64
             * @description Version of the job that the client has.
             */
            version: number;
        };
        /** @description The job that has been deleted. */
        JobDeleted: {
            /** @description Id of the job. */
            job: string;
        };
        /** @description All jobs. */
        JobList: {
            /** @description The job changed last first. */
            jobs: components["schemas"]["JobSummary"][];
        };
        /**
         * @description How far a job has come.
         * @enum {string}
         */
        JobState: "measured" | "routed" | "cut" | "not met" | "broken";
        /** @description A job in the list. */
        JobSummary: {
            /** @description Whether it is archived. */
            archived: boolean;
            /** @description Currency of the job. */
            currency?: string | null;
            /** @description Id of the job. */
            id: string;
            /** @description Whether all requirements are met. */
            met: boolean;
            /** @description Name of the job. */
            name: string;
            /** @description Number of runs, or of ports while there are no routes. */
            runs: number;
            /** @description How far it has come. */
            state: components["schemas"]["JobState"];
            /**
             * Format: double
             * @description Total of the quote, money; null when not priced.
             */
            total?: number | null;
            /** @description Unit of the job. */
            units: components["schemas"]["UnitsCode"];
            /** @description Number of requirements missed. */
            unmet_count: number;
            /**
             * Format: int64
             * @description When it was last changed, milliseconds since 1970.
             */
            updated: number;
            /**
             * Format: int64
             * @description Version of the job.
             */
            version: number;
        };
        /** @description A job. */
        JobView: {
            /** @description Whether it is archived. */
            archived: boolean;
            attempt?: components["schemas"]["RoutesView"] | null;
            bay?: components["schemas"]["BayView"] | null;
            /** @description Whether the engine bay is that of an earlier revision. */
            bay_stale: boolean;
            /** @description Whether redo is possible. */
            can_redo: boolean;
            /** @description Whether undo is possible. */
            can_undo: boolean;
            /** @description job.toml as a tree, keys in the order of the file, texts as written; null when it is not TOML. */
            document?: unknown;
            /** @description Names of the documents. */
            documents: string[];
            /** @description Id of the job. */
            id: string;
            /** @description Name of the job. */
            name: string;
            plan?: components["schemas"]["PlanView"] | null;
            /** @description Why the plan does not match the routes and the stock; null when it does or there is none. */
            plan_stale?: string | null;
            /** @description All problems of the documents. */
            problems: components["schemas"]["ProblemView"][];
            quote?: components["schemas"]["QuoteSummary"] | null;
            /** @description Label of the change that redo would redo. */
            redo_label?: string | null;
            /** @description The current revision. */
            revision: components["schemas"]["RevisionView"];
            routes?: components["schemas"]["RoutesView"] | null;
            /** @description job.toml. */
            text: string;
            /** @description Label of the change that undo would undo. */
            undo_label?: string | null;
            /** @description Unit of bare numbers in its documents. */
            units: components["schemas"]["UnitsCode"];
            /**
             * Format: int64
             * @description Increases with every change; a client that changes the job sends the version it has.
             */
            version: number;
        };
        /** @description An obstacle. */
        KeepoutView: {
            /**
             * Format: double
             * @description Minimum clearance, mm.
             */
            clearance: number;
            /**
             * Format: double
             * @description Clearance of the run that is furthest below the minimum, or nearest, mm.
             */
            gap?: number | null;
            /** @description Whether ports or collectors are mounted in it. */
            holds_ports: boolean;
            /** @description Name of the obstacle. */
            name: string;
            /** @description Shape of the obstacle. */
            shape: components["schemas"]["ShapeView"];
            /**
             * Format: double
             * @description Clearance missing there, mm.
             */
            short?: number | null;
        };
        /**
         * @description How the cylinders are arranged.
         * @enum {string}
         */
        LayoutCode: "single" | "inline" | "vee" | "flat";
        /** @description Upload limits. */
        Limits: {
            /** @description Largest JSON body, MB. */
            body_mb: number;
            /** @description Largest mesh or archive, MB. */
            mesh_mb: number;
            /** @description Most triangles of a mesh. */
            triangles: number;
        };
        /** @description A centreline. */
        LineView: {
            /** @description Length from the start at each point. */
            at_mm: number[];
            /** @description Clearance at each point, at most 50 mm. */
            gap_mm?: number[];
            /** @description The points. */
            xyz: components["schemas"]["Xyz"][];
        };
        /** @description A map to compute. */
        MapRequest: {
            /** @description Which size changes. */
            size: components["schemas"]["Size"];
            /** @description The speeds. */
            speeds: components["schemas"]["SpeedBand"];
        };
        /** @description Where an engine order meets a mode. */
        Meets: {
            /**
             * Format: double
             * @description Events in one turn of the crankshaft.
             */
            order: number;
            /**
             * Format: double
             * @description Engine speed, rpm.
             */
            rpm: number;
        };
        /** @description An uploaded mesh file. */
        MeshAdded: {
            /** @description The job with the file among its documents. */
            job: components["schemas"]["JobView"];
            /** @description The mesh. */
            mesh: components["schemas"]["MeshView"];
        };
        /** @description A mesh. */
        MeshView: {
            /** @description Size of the box around it, in the file's unit taken as mm. */
            size_mm: number[];
            /** @description Triangles in the file. */
            triangles: number;
            /** @description Vertices in the file. */
            vertices: number;
            /** @description Faults that were repaired, and notes on the file's unit. */
            warnings: string[];
        };
        /** @description Two images that distances cannot tell apart. */
        MirrorView: {
            /** @description The point to ask for: does it lie left or right? */
            ask: string;
            /** @description All points in the other image. */
            points: components["schemas"]["PlaceView"][];
        };
        /** @description A key that is not given. */
        MissingView: {
            /** @description The key. */
            key: string;
            /** @description Purpose of the value. */
            needed_for: string;
        };
        /** @description A mode. */
        ModeAnswer: {
            /**
             * Format: double
             * @description Its place there, mm from the start.
             */
            at_mm: number;
            /**
             * Format: double
             * @description Frequency, hot, Hz.
             */
            frequency_hz: number;
            /** @description Mass that moves with it along x, y and z, kg. */
            mass_kg: number[];
            /** @description Engine orders and the speeds at which they meet it. */
            meets: components["schemas"]["Meets"][];
            /**
             * Format: double
             * @description Greatest stress amplitude at resonance, MPa for 1 g of shake along the worst direction.
             */
            mpa_per_g: number;
            /** @description The run where that is. */
            run: string;
            /** @description Its shape: for each run, places from the start and how they move, scaled to a greatest movement of 1. */
            shape: components["schemas"]["RunShape"][];
        };
        /**
         * @description Why a part has to be left free to move.
         * @enum {string}
         */
        MoveReason: "collector" | "free_end" | "slot" | "slip";
        /** @description How a plate moved. */
        MovedView: {
            /** @description The last photo before it, counted from 1. */
            after: number;
            /**
             * Format: double
             * @description How far, mm.
             */
            by_mm: number;
            /** @description The first photo after it. */
            from_photo: string;
            /**
             * Format: double
             * @description How far it turned, degrees.
             */
            turn_deg: number;
        };
        /** @description A part that has to be left free to move. */
        MustMove: {
            /** @description Unit direction in which it moves. */
            along: number[];
            /**
             * Format: double
             * @description Its place on the run, mm from the start; null for a collector and for the end of a run.
             */
            at_mm?: number | null;
            /**
             * Format: double
             * @description How far, mm.
             */
            by_mm: number;
            /** @description What has to move: a collector by its name, else the run. */
            part: string;
            /** @description Why it moves there. */
            why: components["schemas"]["MoveReason"];
        };
        /** @description A thing near hot tubes. */
        NearAnswer: {
            /** @description About how warm a small thing there gets: all around, and the face that looks at the tube, degrees Celsius. */
            about_c: number[];
            /**
             * Format: double
             * @description Where, mm from its start.
             */
            at_mm: number;
            /**
             * Format: double
             * @description What it bears, degrees Celsius, where the job says so.
             */
            bears_c?: number | null;
            /**
             * Format: double
             * @description Clearance there, mm.
             */
            gap_mm: number;
            /** @description Name of the obstacle. */
            obstacle: string;
            /** @description The run that comes nearest. */
            run: string;
            /**
             * Format: double
             * @description Temperature of the shield between the two, degrees Celsius, where the job has one.
             */
            shield_c?: number | null;
            /**
             * Format: double
             * @description Skin of the tube there, degrees Celsius.
             */
            skin_c: number;
            /** @description What would be too warm there: the thing itself, else kinds of things. */
            too_warm: string[];
        };
        /** @description Source of a new job: one of the three. */
        NewJob: components["schemas"]["FromExample"] | components["schemas"]["FromStarter"] | components["schemas"]["FromText"];
        /** @description An item to add to stock on hand. */
        NewShelfItem: {
            /**
             * Format: int32
             * @description Number of equal items.
             */
            count?: number;
            /** @description Label written on the item; default a description of it. */
            label?: string | null;
            /** @description Size, material and shape of the item. */
            thing: components["schemas"]["ShelfThing"];
        };
        /** @description A distance worth measuring. */
        NextReading: {
            /** @description Between these points. */
            between: string[];
            /** @description The point that it is for. */
            point: string;
            /**
             * Format: double
             * @description The same afterwards.
             */
            sd_after_mm: number;
            /**
             * Format: double
             * @description Standard deviation of that point now, mm.
             */
            sd_before_mm: number;
            /** @description Whether it decides between two answers. */
            settles: boolean;
        };
        /**
         * @description Why photos give no places.
         * @enum {string}
         */
        NoPlacesCode: "apart" | "no-scale" | "no-axes";
        /** @description A miss. */
        OffView: {
            /**
             * Format: double
             * @description Direction, degrees.
             */
            deg: number;
            /**
             * Format: double
             * @description Place, mm.
             */
            mm: number;
        };
        /**
         * @description What is done at a path.
         * @enum {string}
         */
        Op: "set" | "insert" | "remove";
        /** @description Where the last joined piece ends. */
        OpenEndView: {
            /** @description Mark of the piece. */
            after: string;
            /** @description Where its end is, mm. */
            at_mm: components["schemas"]["Xyz"];
            /** @description Where it is drawn, mm. */
            drawn_mm: components["schemas"]["Xyz"];
            /** @description Standard deviations, mm. */
            sd_mm: components["schemas"]["Xyz"];
        };
        /**
         * @description Where a wave comes from.
         * @enum {string}
         */
        Origin: "own_collector" | "second_collector" | "open_end" | "other_cylinder";
        /**
         * @description Who gave a rate.
         * @enum {string}
         */
        OriginCode: "invented" | "standard" | "shop";
        /** @description `pace`: how far the work is, twice a second once its steps can be counted ahead. It may end sooner. */
        PaceView: {
            /**
             * Format: double
             * @description Share that is done, 0 to 1.
             */
            share: number;
        };
        /**
         * @description A paper size.
         * @enum {string}
         */
        PaperCode: "a4" | "letter" | "a3" | "tabloid";
        /**
         * @description Kind of a part that stands on a run.
         * @enum {string}
         */
        PartKind: "bracket" | "slip" | "bung" | "joint";
        /** @description A part at another place. */
        PartMove: {
            /**
             * Format: double
             * @description Place on its run, mm from the start.
             */
            at_mm: number;
            /** @description Which of its kind, from 0 in the order of job.toml. */
            index: number;
            /** @description Its kind. */
            kind: components["schemas"]["PartKind"];
        };
        /** @description The header with the part there. */
        PartTrial: {
            /**
             * Format: double
             * @description The first frequency, Hz.
             */
            first_hz: number;
            /**
             * Format: double
             * @description The greatest stress amplitude of the first modes, MPa for 1 g.
             */
            mpa_per_g: number;
            /**
             * Format: double
             * @description The range there, MPa.
             */
            range_mpa: number;
            /** @description The run where that, or else the greatest range, is. */
            run: string;
            /**
             * Format: double
             * @description The greatest share of the allowable stress range; null where the material has no known allowable.
             */
            share_of_allowable?: number | null;
        };
        /** @description A part on a tube. */
        PartView: {
            /** @description Its name: `bung of primary 1`. */
            name: string;
            /** @description A shape that stands for it. */
            shape: components["schemas"]["ShapeView"];
        };
        /** @description One step of a path. */
        PathStep: number | string;
        /** @description `better`, while photos are looked through. */
        PhotoProgress: {
            /** @description Photos that were looked through. */
            done: number;
            /** @description Photos in all. */
            of: number;
        };
        /**
         * @description Result of reading a photo.
         * @enum {string}
         */
        PhotoState: "waiting" | "searched" | "used" | "empty" | "apart";
        /** @description A photo. */
        PhotoView: {
            from?: components["schemas"]["Xyz"] | null;
            look?: components["schemas"]["Xyz"] | null;
            /** @description Markers found in it. */
            markers: components["schemas"]["SeenMarker"][];
            /** @description File name. */
            name: string;
            /** @description Width and height, pixels; 0 while it waits. */
            size: number[];
            /** @description Result of reading it. */
            state: components["schemas"]["PhotoState"];
            /**
             * Format: int32
             * @description Quarter turns clockwise by which it is to be shown.
             */
            turns: number;
            /** @description Markers seen more than once: none of them counts. */
            twice: number[];
        };
        /** @description The photos of a survey. */
        PhotosView: {
            /**
             * Format: double
             * @description Standard deviation of a marker's dot, pixels.
             */
            dot_sd_px?: number | null;
            no_places?: components["schemas"]["NoPlacesCode"] | null;
            /** @description Whether the photos are still to be looked through and adjusted. */
            pending: boolean;
            /** @description All photos of the job, in the order in which they were taken where that is known. */
            photos: components["schemas"]["PhotoView"][];
            /** @description Markers that were found, or that survey.toml names. */
            plates: components["schemas"]["PlateView"][];
            /**
             * Format: double
             * @description True size of the prints divided by the drawn one.
             */
            print?: number | null;
        };
        /** @description A piece whose figures change. */
        PieceChange: {
            /** @description The arc: planned and corrected, degrees. */
            angle_deg: number[];
            /** @description Straight before the arc, or the length of a straight: planned and corrected, mm. */
            leg_in_mm: number[];
            /** @description Straight behind the arc: planned and corrected, mm. */
            leg_out_mm: number[];
            /** @description Its mark. */
            mark: string;
        };
        /**
         * @description How far a piece has come.
         * @enum {string}
         */
        PieceProgress: "uncut" | "cut" | "tacked" | "welded";
        /** @description A piece. */
        PieceView: {
            /**
             * Format: double
             * @description Angle of its arc; 0 of a straight piece.
             */
            angle_deg: number;
            /** @description The stretch of the item's centreline, mm. */
            at: [
                number,
                number
            ];
            /**
             * Format: double
             * @description From its bend plane to that one's, right-hand rule about the flow.
             */
            clocking_deg?: number | null;
            /**
             * Format: double
             * @description Clocking as an arc on the outside of the tube, mm.
             */
            clocking_mm?: number | null;
            /** @description The next piece with a bend. */
            clocking_to?: string | null;
            /**
             * Format: double
             * @description Start along the route, mm.
             */
            from_mm: number;
            /** @description The item that the piece is cut from. */
            item: string;
            /**
             * Format: double
             * @description Straight before its arc, mm; the whole length of a straight piece.
             */
            leg_in_mm: number;
            /**
             * Format: double
             * @description Straight after its arc.
             */
            leg_out_mm: number;
            /** @description Run number and letter: `1A`. */
            mark: string;
            /** @description True when its upstream end lies at `at[1]`. */
            reversed: boolean;
            /** @description Its run: `primary 1`. */
            run: string;
            /**
             * Format: double
             * @description Where it ends.
             */
            to_mm: number;
        };
        /** @description A point that may lie elsewhere. */
        PlaceView: {
            /** @description Where, mm. */
            at_mm: components["schemas"]["Xyz"];
            /** @description Name of the point in the survey. */
            name: string;
        };
        /** @description A cut plan. */
        PlanView: {
            /**
             * Format: double
             * @description Stock, joints and cuts, money.
             */
            cost: number;
            /**
             * Format: int32
             * @description Saw cuts made.
             */
            cuts: number;
            /** @description Hash of its file: ticks at the saw and bookings belong to it. */
            hash: string;
            /** @description The items used. */
            items: components["schemas"]["ItemView"][];
            /**
             * Format: int32
             * @description Welds between pieces of one run.
             */
            joints: number;
            /**
             * Format: double
             * @description Lower bound of the cost of any plan, money.
             */
            lower_bound: number;
            /** @description The pieces, run by run in the order of the flow. */
            pieces: components["schemas"]["PieceView"][];
            /** @description True when both are equal. */
            proven: boolean;
            /** @description Stock used, by line. */
            stock: components["schemas"]["StockLineView"][];
            /**
             * Format: double
             * @description Length of pieces / length of stock used.
             */
            yield: number;
        };
        /**
         * @description What is to be said of a plate.
         * @enum {string}
         */
        PlateState: "good" | "few" | "missing" | "misprinted";
        /** @description A marker plate. */
        PlateView: {
            at_mm?: components["schemas"]["Xyz"] | null;
            moved?: components["schemas"]["MovedView"] | null;
            /** @description The point under it. */
            name?: string | null;
            normal?: components["schemas"]["Xyz"] | null;
            /** @description Photos that show it, and count once they are adjusted. */
            photos: number;
            /**
             * Format: double
             * @description Standard deviation of that, degrees.
             */
            sd_deg?: number | null;
            sd_mm?: components["schemas"]["Xyz"] | null;
            /** @description What is to be said of it. */
            state: components["schemas"]["PlateState"];
            /**
             * Format: int32
             * @description Number of its marker.
             */
            tag: number;
        };
        /** @description What was found of one source of error. */
        PoolLine: {
            /**
             * Format: double
             * @description Mean error; 0 of sources without a sign.
             */
            bias: number;
            /** @description Of a CLR: the bends it is of. */
            item?: string | null;
            /** @description Its key in `[shop]` of fit.toml. */
            key: string;
            /**
             * Format: double
             * @description Standard deviation.
             */
            sd: number;
            /**
             * Format: double
             * @description How many errors were seen.
             */
            seen: number;
            /** @description Unit of both: mm or in, degrees, a ratio. */
            unit: string;
        };
        /** @description The shop's own errors, from its builds. */
        PoolView: {
            /** @description Runs with readings. */
            builds: number;
            /** @description What was seen often enough. */
            shop: components["schemas"]["PoolLine"][];
        };
        /** @description A port. */
        PortView: {
            /** @description Centre at the flange face. */
            at: components["schemas"]["Xyz"];
            /** @description Direction of flow out of the head. */
            axis: components["schemas"]["Xyz"];
            /**
             * Format: int32
             * @description Cylinder of the port.
             */
            cylinder: number;
            /**
             * Format: double
             * @description Outside diameter of the tube, mm.
             */
            od: number;
            /**
             * Format: double
             * @description Least straight length leaving it, mm.
             */
            stub: number;
        };
        /** @description A marker plate of the survey sheets. */
        PrintedPlate: {
            /** @description The point that it is for. */
            name: string;
            /**
             * Format: double
             * @description Side of its black square as drawn, mm.
             */
            side_mm: number;
            /**
             * Format: int32
             * @description Number of its marker.
             */
            tag: number;
        };
        /** @description A problem. */
        ProblemView: {
            /** @description Part of the job: `port of cylinder 3`; may be empty. */
            about: string;
            /** @description Stable code of this kind of problem. */
            code: string;
            /** @description Column in characters, from 1. */
            column?: number | null;
            /** @description What was expected there; may be empty. */
            expected: string;
            /** @description The document. */
            file: string;
            /** @description How to fix it. */
            hints: string[];
            /** @description Line, from 1. */
            line?: number | null;
            /** @description What is wrong, with the values. */
            message: string;
            /** @description The place in the document's tree, where that is known. */
            path?: components["schemas"]["PathStep"][] | null;
            /** @description How serious it is. */
            severity: components["schemas"]["SeverityCode"];
            underline?: components["schemas"]["Underline"] | null;
        };
        /** @description A quote. */
        QuoteFile: {
            /**
             * Format: double
             * @description Weight of the collectors' bodies, as given or of their sheet.
             */
            collectors_kg: number;
            /** @description Currency, ISO 4217. */
            currency: string;
            /**
             * Format: double
             * @description Sum of the lines.
             */
            direct: number;
            /**
             * Format: int32
             * @description 1.
             */
            format: number;
            /** @description True while a price in it is invented: no price to give to a customer. */
            invented_prices: boolean;
            /**
             * Format: double
             * @description Hours of labour.
             */
            labour_h: number;
            /** @description Lines of the quote, in the order of their groups. */
            lines: components["schemas"]["QuoteLineFile"][];
            /**
             * Format: double
             * @description Margin.
             */
            margin: number;
            /**
             * Format: double
             * @description Margin, percent of `direct`.
             */
            margin_percent: number;
            /**
             * Format: double
             * @description `direct` + `margin`.
             */
            net: number;
            /** @description Weight and welds, run by run. */
            runs: components["schemas"]["QuoteRunFile"][];
            /**
             * Format: double
             * @description Tax.
             */
            tax: number;
            /**
             * Format: double
             * @description Tax, percent of `net`.
             */
            tax_percent: number;
            /**
             * Format: double
             * @description `net` + `tax`.
             */
            total: number;
            /**
             * Format: double
             * @description Weight of all bare tubes.
             */
            weight_kg: number;
            /**
             * Format: double
             * @description Length of all welds around tubes.
             */
            weld_mm: number;
        };
        /** @description A line of a quote. */
        QuoteLineFile: {
            /**
             * Format: double
             * @description Quantity x price, to the coin.
             */
            amount: number;
            /** @description How the quantity came about; may be empty. */
            basis: string;
            /** @description Group of the line. */
            group: components["schemas"]["GroupCode"];
            /**
             * Format: double
             * @description Quantity.
             */
            quantity: number;
            /** @description Where price and standard come from. */
            source: string;
            /** @description Of what. */
            unit: string;
            /**
             * Format: double
             * @description Price of one.
             */
            unit_price: number;
            /** @description What the line is for. */
            what: string;
        };
        /** @description A run's part in a quote. */
        QuoteRunFile: {
            /**
             * Format: double
             * @description Length of its centreline.
             */
            length_mm: number;
            /** @description `primary 1`. */
            run: string;
            /**
             * Format: double
             * @description Weight of its bare tube.
             */
            weight_kg: number;
            /**
             * Format: double
             * @description Length of these welds, mm.
             */
            weld_mm: number;
            /**
             * Format: int32
             * @description Welds around the tube: joints, flange, collectors.
             */
            welds: number;
        };
        /** @description Summary of a quote. */
        QuoteSummary: {
            /** @description Currency, ISO 4217. */
            currency: string;
            /** @description Whether it has placeholder prices: do not send it to a customer. */
            invented_prices: boolean;
            /**
             * Format: double
             * @description Hours of labour.
             */
            labour_h: number;
            /**
             * Format: double
             * @description Before tax.
             */
            net: number;
            /**
             * Format: double
             * @description Tax.
             */
            tax: number;
            /**
             * Format: double
             * @description `net` + `tax`.
             */
            total: number;
            /**
             * Format: double
             * @description Weight of all bare tubes.
             */
            weight_kg: number;
        };
        /** @description A quote with the rates behind it. */
        QuoteView: components["schemas"]["QuoteFile"] & {
            /** @description Lines that the job's own rates.toml adds, in the order of its `extra` tables. */
            own_extras: components["schemas"]["ExtraView"][];
            /** @description The rates behind it, in groups of `price` and `time`. */
            rates: components["schemas"]["RateView"][];
        };
        /**
         * @description A table of rates.toml.
         * @enum {string}
         */
        RateTable: "price" | "time";
        /** @description A rate that can be set in rates.toml. */
        RateView: {
            /** @description Key in that table. */
            key: string;
            /** @description Who gave it. */
            origin: components["schemas"]["OriginCode"];
            /** @description Table of rates.toml that it belongs to. */
            table: components["schemas"]["RateTable"];
            /** @description Unit. */
            unit: string;
            /**
             * Format: double
             * @description Its value; percent where the unit is `%`.
             */
            value: number;
            /** @description Purpose of the rate. */
            what: string;
        };
        /** @description A change of the job's own rates. */
        RatesChange: {
            /** @description Edits by place: `["price", "labour_per_hour"]`, `["time", "cut_bend"]`, `["extra", 0]`. */
            edits: components["schemas"]["Edit"][];
            /**
             * Format: int64
             * @description The version that was seen.
             */
            version: number;
        };
        /**
         * @description What the others say of a reading.
         * @enum {string}
         */
        ReadingState: "fits" | "doubtful" | "wrong" | "unchecked";
        /** @description A reading. */
        ReadingView: {
            /** @description Names of its points. */
            between: string[];
            /**
             * Format: double
             * @description The same in standard deviations.
             */
            deviations: number;
            /**
             * Format: double
             * @description Reading less adjusted value, mm, of an incline degrees.
             */
            off: number;
            /** @description Of a wrong one: places of others one of which may be wrong instead. */
            or: components["schemas"]["PathStep"][][];
            /** @description Its place in survey.toml. */
            path: components["schemas"]["PathStep"][];
            /**
             * Format: double
             * @description Of a wrong one: what should have been read, mm or degrees.
             */
            proposed?: number | null;
            /** @description What the others say of it. */
            state: components["schemas"]["ReadingState"];
            /** @description What it was read with. */
            tool: components["schemas"]["ToolCode"];
        };
        /** @description A change of the job that was tried. */
        RelaxationView: {
            /** @description The change in words, as an instruction. */
            change: string;
            /** @description The change as a code. */
            code: components["schemas"]["ChangeCode"];
            /**
             * Format: double
             * @description The largest miss left, mm; null when no answer was found at all.
             */
            left_mm?: number | null;
            /** @description Names and measures of the change; their keys go with `code`. */
            measures: Record<string, never>;
            /** @description Whether every requirement holds then. */
            met: boolean;
        };
        /** @description A way to finish a run. */
        RemedyView: {
            /** @description Chance to go in. */
            chance: components["schemas"]["ChanceView"];
            /**
             * Format: double
             * @description That time at the rate for labour, money.
             */
            extra_cost: number;
            /**
             * Format: double
             * @description Time beside what the plan has, minutes.
             */
            extra_minutes: number;
            /** @description How often the open end is measured. */
            measures: number;
            /** @description Pieces that are cut last, along the flow. */
            pieces: string[];
            /** @description What those pieces are to be left with more than drawn. */
            reserve: components["schemas"]["ReserveView"][];
            /** @description The way, in words. */
            way: string;
        };
        /**
         * @description What is required: the stable code of a requirement.
         * @enum {string}
         */
        RequirementCode: "runs" | "start" | "end" | "radii" | "turn" | "stub" | "length" | "via" | "tube_gap" | "self_gap" | "keepout_gap" | "inlet" | "twin" | "rotation" | "collector" | "cut" | "strength";
        /** @description What a piece is left with more than drawn. */
        ReserveView: {
            /**
             * Format: double
             * @description On its arc, degrees.
             */
            angle_deg: number;
            /**
             * Format: double
             * @description On its entry leg, mm.
             */
            leg_in_mm: number;
            /**
             * Format: double
             * @description On its exit leg, mm.
             */
            leg_out_mm: number;
            /** @description The piece. */
            mark: string;
            /** @description Whether it is a straight: its length is then the entry leg. */
            straight: boolean;
        };
        /** @description The revisions of a job. */
        RevisionList: {
            /** @description The newest first. */
            revisions: components["schemas"]["RevisionView"][];
        };
        /** @description A name for a revision. */
        RevisionName: {
            /** @description The name; empty removes it. */
            name: string;
        };
        /** @description A revision. */
        RevisionView: {
            /** @description Whether it is the job's head. */
            current: boolean;
            /** @description Id of the revision. */
            id: string;
            /** @description Label of the change. */
            label: string;
            /**
             * Format: int64
             * @description When it was made, milliseconds since 1970.
             */
            made: number;
            /** @description Name given by a user; may be empty. */
            name: string;
            /**
             * Format: int64
             * @description Counted from 1 within the job.
             */
            number: number;
            /** @description The revision it was made from; null for the first. */
            parent?: string | null;
        };
        /** @description Edits to save. */
        RoutesChange: {
            edit?: components["schemas"]["RunEdit"] | null;
            /** @description Short description of the change: `Move a point of primary 3`. */
            label: string;
            /** @description Runs that differ from the job's. */
            runs?: components["schemas"]["ChangedRun"][];
            /**
             * Format: int64
             * @description Version of the job that the client has.
             */
            version: number;
        };
        /** @description All runs of a job. */
        RoutesView: {
            /** @description Collectors that stand elsewhere than drawn. */
            collectors: components["schemas"]["StandsView"][];
            /**
             * Format: double
             * @description Longest primary less the shortest, mm.
             */
            length_spread_mm: number;
            /** @description Whether all requirements are met. */
            met: boolean;
            /** @description The runs: primaries, secondaries, tails. */
            runs: components["schemas"]["RunView"][];
            /**
             * Format: double
             * @description Target length of the primaries; null: only equal length.
             */
            target_mm?: number | null;
            /**
             * Format: double
             * @description Tolerance of the target length; null: none.
             */
            tolerance_mm?: number | null;
            /** @description Requirements missed. */
            unmet: components["schemas"]["UnmetView"][];
        };
        /** @description Result of one rule. */
        RuleView: {
            /** @description The collector, where it sizes one. */
            collector?: string | null;
            /**
             * Format: double
             * @description Greatest value; `low_mm` when the rule gives one.
             */
            high_mm: number;
            /**
             * Format: double
             * @description Least value.
             */
            low_mm: number;
            /** @description The stocked tube nearest to the middle, for diameters. */
            nearest?: string | null;
            /** @description The dimension it sizes. */
            of: components["schemas"]["SizedCode"];
            /** @description Range in which it holds. */
            range: string;
            /** @description Name of the rule. */
            rule: string;
            /** @description Published source of the rule. */
            source: string;
        };
        /** @description A run. */
        RunAnswer: {
            /**
             * Format: double
             * @description Where it is, mm from the start.
             */
            at_mm: number;
            /** @description Cycles by the lower and the mean fatigue line; null above the temperature at which the metal creeps. */
            cycles?: number[] | null;
            /**
             * Format: double
             * @description Force on its start, N, hot.
             */
            flange_force_n: number;
            /**
             * Format: double
             * @description Moment on its start, Nm, hot.
             */
            flange_moment_nm: number;
            /**
             * Format: double
             * @description Elastic stress, MPa, that the steep rise of temperature beside a cold flange puts on the weld there, an upper value; null
             *     for a run that starts at no port.
             */
            flange_weld_mpa?: number | null;
            /** @description The joint there; null where none is within 5 mm, and without a cut plan. */
            joint?: string | null;
            /** @description Hottest metal by the least, the middle and the greatest heat transfer, degrees Celsius. */
            metal_c: number[];
            /** @description The piece there; null without a cut plan of these routes. */
            piece?: string | null;
            /**
             * Format: double
             * @description Greatest stress range, MPa.
             */
            range_mpa: number;
            /** @description The run: `primary 1`. */
            run: string;
            /**
             * Format: double
             * @description That as a share of the allowable range; null where the material has no known allowable.
             */
            share_of_allowable?: number | null;
            /**
             * Format: double
             * @description Hottest skin by the middle heat transfer, degrees Celsius.
             */
            skin_c: number;
        };
        /**
         * @description One movement of a hand on one run; the ends stay where they are. Points are counted from 0, the start; bends by
         *     their intersection point, from 1.
         */
        RunEdit: {
            /** @description The bend. */
            index: number;
            /** @enum {string} */
            kind: "move_point";
            /** @description The run. */
            run: string;
            /** @description Where to, mm. */
            to: components["schemas"]["Xyz"];
        } | {
            /**
             * Format: double
             * @description The CLR, mm.
             */
            clr: number;
            /** @description The bend. */
            index: number;
            /** @enum {string} */
            kind: "set_clr";
            /** @description The run. */
            run: string;
        } | {
            /**
             * Format: double
             * @description By how much, right-hand rule along the flow.
             */
            deg: number;
            /** @description The bend. */
            index: number;
            /** @enum {string} */
            kind: "roll";
            /** @description The run. */
            run: string;
        } | {
            /** @description The point at the start of the leg. */
            after: number;
            /**
             * Format: double
             * @description Its CLR, mm.
             */
            clr: number;
            /** @enum {string} */
            kind: "insert_bend";
            /** @description The run. */
            run: string;
        } | {
            /** @description The bend. */
            index: number;
            /** @enum {string} */
            kind: "remove_bend";
            /** @description The run. */
            run: string;
        } | {
            /** @enum {string} */
            kind: "pull_to_length";
            /**
             * Format: double
             * @description The length.
             */
            length_mm: number;
            /** @description The run. */
            run: string;
        };
        /** @description What is measured on a run. */
        RunFigures: {
            /** @description Number of bends. */
            bends: number;
            /** @description The collector it enters; empty for a tail. */
            collector: string;
            /**
             * Format: int32
             * @description Cylinder of a primary.
             */
            cylinder?: number | null;
            /** @description The collector it leaves, of a secondary or tail. */
            from?: string | null;
            /**
             * Format: double
             * @description Distance of that place along the run, mm.
             */
            gap_to_keepouts_at_mm?: number | null;
            /**
             * Format: double
             * @description Clearance to the nearest obstacle or tool path, mm; null: there is none.
             */
            gap_to_keepouts_mm?: number | null;
            /**
             * Format: double
             * @description Distance of that place along the run, mm.
             */
            gap_to_tubes_at_mm?: number | null;
            /**
             * Format: double
             * @description Clearance to the nearest tube, mm; null: there is none.
             */
            gap_to_tubes_mm?: number | null;
            /** @description Inlet of the collector, from 1; 0 for a tail. */
            inlet: number;
            /** @description Welds between its pieces; null without a cut plan. */
            joints?: number | null;
            /** @description Kind of the run. */
            kind: components["schemas"]["RunKind"];
            /**
             * Format: double
             * @description Length of the centreline, mm.
             */
            length_mm: number;
            /** @description The nearest obstacle. */
            nearest_keepout?: string | null;
            /** @description The nearest tube. */
            nearest_tube?: string | null;
            /**
             * Format: double
             * @description That and the length of the port in the head, mm.
             */
            tuned_length_mm: number;
            /**
             * Format: double
             * @description Total bend angle, degrees.
             */
            turn_deg: number;
        };
        /** @description Means over the cycle along a pipe. */
        RunGas: {
            /** @description From where it begins: the exhaust valves, or where the tubes of a collector end, mm. */
            at_mm: number[];
            /** @description Temperature of the gas, K. */
            gas_k: number[];
            /** @description Heat to the wall, W/m. */
            heat_w_per_m: number[];
            /** @description Name of the pipe: `primary 1`, or what is behind a collector. */
            name: string;
        };
        /**
         * @description Kind of a run.
         * @enum {string}
         */
        RunKind: "primary" | "secondary" | "tail";
        /** @description How a run moves. */
        RunShape: {
            /** @description Rows of mm from the start and movement along x, y and z. */
            rows: number[][];
            /** @description The run. */
            run: string;
        };
        /** @description A run. */
        RunView: components["schemas"]["RunFigures"] & {
            /** @description Straights and bends. */
            elements: components["schemas"]["ElementView"][];
            /** @description Centreline of the run. */
            line: components["schemas"]["LineView"];
            /** @description Kept as it is when the rest is routed. */
            locked: boolean;
            /** @description Index among the runs, from 0; it decides the colour. */
            number: number;
            /**
             * Format: double
             * @description Outside diameter of its tube, mm.
             */
            od: number;
            /** @description Start, intersection points and end, mm. */
            points: components["schemas"]["Xyz"][];
            /** @description CLR at each intersection point, mm. */
            radii: number[];
            /** @description Name of the run: `primary 1`. */
            run: string;
            /**
             * Format: double
             * @description Target length of this kind of run.
             */
            target_mm?: number | null;
            /**
             * Format: double
             * @description Tolerance of the target length; null: none.
             */
            tolerance_mm?: number | null;
        };
        /** @description `done`: the search has ended, by itself or because it was stopped. */
        SearchDone: {
            /** @description Alternatives, best first. */
            alternatives: components["schemas"]["AlternativeView"][];
            conflict?: components["schemas"]["CurrentView"] | null;
            job?: components["schemas"]["JobView"] | null;
            /** @description Whether all requirements are met. */
            met: boolean;
            /** @description Changes of the job that were tested, the most effective first. */
            relaxations: components["schemas"]["RelaxationView"][];
            routes?: components["schemas"]["RoutesView"] | null;
            /**
             * Format: double
             * @description Seconds it took.
             */
            seconds: number;
            /** @description What the closest attempt misses. */
            unmet: components["schemas"]["UnmetView"][];
        };
        /** @description How to search. */
        SearchRequest: {
            /** @description Number of alternatives to offer; 0 and 1: only the best. */
            alternatives?: number;
            /** @description Search effort, hundreds of steps; 0 stops at the first solution. */
            effort?: number;
            /** @description Whether to start from the saved routes; locked runs are kept in any case. */
            resume?: boolean;
            /**
             * Format: int64
             * @description The same job, settings and seed give the same routes.
             */
            seed?: number;
            /**
             * Format: int64
             * @description Version of the job that the client has.
             */
            version: number;
        };
        /** @description A marker in a photo. */
        SeenMarker: {
            /** @description Corners of its square, pixels. */
            corners: number[][];
            /** @description How many of its four dots were found. */
            dots: number;
            /**
             * Format: int32
             * @description Its number.
             */
            tag: number;
        };
        /**
         * @description How serious a problem is.
         * @enum {string}
         */
        SeverityCode: "warning" | "error";
        /** @description A shape. */
        ShapeView: {
            /** @description Axes of the shape. */
            axes: [
                [
                    number,
                    number,
                    number
                ],
                [
                    number,
                    number,
                    number
                ],
                [
                    number,
                    number,
                    number
                ]
            ];
            /** @description Centre. */
            center: components["schemas"]["Xyz"];
            /** @enum {string} */
            kind: "box";
            /** @description Whole lengths along its axes, mm. */
            size: components["schemas"]["Xyz"];
        } | {
            /** @description Centre of one end. */
            from: components["schemas"]["Xyz"];
            /** @enum {string} */
            kind: "cylinder";
            /**
             * Format: double
             * @description Radius, mm.
             */
            radius: number;
            /** @description Centre of the other. */
            to: components["schemas"]["Xyz"];
        } | {
            /** @description Centre of one end. */
            from: components["schemas"]["Xyz"];
            /** @enum {string} */
            kind: "cone";
            /** @description Radius of each end, mm. */
            radii: [
                number,
                number
            ];
            /** @description Centre of the other. */
            to: components["schemas"]["Xyz"];
        } | {
            /** @description Centre of one end's ball. */
            from: components["schemas"]["Xyz"];
            /** @enum {string} */
            kind: "capsule";
            /**
             * Format: double
             * @description Radius, mm.
             */
            radius: number;
            /** @description Centre of the other's. */
            to: components["schemas"]["Xyz"];
        } | {
            /** @description Centre. */
            center: components["schemas"]["Xyz"];
            /** @enum {string} */
            kind: "sphere";
            /**
             * Format: double
             * @description Radius, mm.
             */
            radius: number;
        } | {
            /** @description Bounding box. */
            bounds: components["schemas"]["BoundsView"];
            /** @description The document that holds it. */
            file: string;
            /** @enum {string} */
            kind: "mesh";
            /** @description Triangles. */
            triangles: number;
        };
        /**
         * @description A kind of sheet.
         * @enum {string}
         */
        SheetKindCode: "cautions" | "overview" | "stock" | "saw" | "full-size" | "clocking" | "assembly" | "welding" | "jig" | "templates" | "inspection" | "correction" | "quote";
        /** @description A set of sheets. */
        SheetList: {
            /** @description Hash of routes, cut plan and quote, printed on every page. */
            hash: string;
            /** @description Every kind of sheet, in order. */
            kinds: components["schemas"]["SheetKindCode"][];
            /** @description Total number of pages. */
            pages: number;
            /** @description The sheets, in order. */
            sheets: components["schemas"]["SheetView"][];
            /** @description Unit of lengths. */
            units: components["schemas"]["UnitsCode"];
            /** @description Warnings about the set. */
            warnings: string[];
        };
        /**
         * @description A set of sheets for the shop.
         * @enum {string}
         */
        SheetSetCode: "short" | "full";
        /** @description A sheet. */
        SheetView: {
            /** @description Kind of the sheet. */
            kind: components["schemas"]["SheetKindCode"];
            /** @description First page, from 1. */
            page: number;
            /** @description Title of the sheet. */
            title: string;
        };
        /** @description A removed item. */
        ShelfItemRemoved: {
            /** @description Id of the item that was removed. */
            item: string;
        };
        /** @description An item of stock on hand. */
        ShelfItemView: {
            /** @description The booking whose offcut it is; null when it was added by hand. */
            booking?: string | null;
            /** @description Id of the shelf item. */
            id: string;
            /** @description Label written on the item. */
            label: string;
            /**
             * Format: int64
             * @description When it was added, milliseconds since 1970.
             */
            made: number;
            thing?: components["schemas"]["ShelfThing"] | null;
        };
        /** @description What a thing on the shelf is. */
        ShelfShape: {
            /**
             * Format: double
             * @description Angle.
             */
            angle_deg: number;
            /**
             * Format: double
             * @description CLR, mm.
             */
            clr: number;
            /** @enum {string} */
            kind: "bend";
            /** @description Legs before and after the arc, mm. */
            legs: [
                number,
                number
            ];
        } | {
            /** @enum {string} */
            kind: "straight";
            /**
             * Format: double
             * @description Its length, mm.
             */
            length: number;
        };
        /** @description A thing on the shelf. */
        ShelfThing: {
            /** @description Name of its material in the catalogue; empty: not known. */
            material?: string;
            /**
             * Format: double
             * @description Outside diameter, mm.
             */
            od: number;
            /** @description Shape of the offcut. */
            shape: components["schemas"]["ShelfShape"];
            /**
             * Format: double
             * @description Wall, mm.
             */
            wall: number;
        };
        /** @description Stock on hand. */
        ShelfView: {
            /** @description The oldest first. */
            items: components["schemas"]["ShelfItemView"][];
        };
        /** @description Changes of the shop. */
        ShopChange: {
            /** @description New name of the shop. */
            name?: string | null;
            units?: components["schemas"]["UnitsCode"] | null;
        };
        /** @description The shop. */
        ShopView: {
            /** @description Upload limits. */
            limits: components["schemas"]["Limits"];
            /** @description Name of the shop; may be empty. */
            name: string;
            /** @description Whether a password is needed. */
            needs_password: boolean;
            /** @description Whether this client is signed in or need not be. */
            signed_in: boolean;
            /** @description The unit last chosen. */
            units: components["schemas"]["UnitsCode"];
        };
        /** @description Credentials. */
        SignIn: {
            /** @description The shop's password. */
            password: string;
        };
        /** @description Whether the caller is signed in. */
        SignedIn: {
            /** @description Whether signed in. */
            signed_in: boolean;
        };
        /**
         * @description A size of a header.
         * @enum {string}
         */
        Size: "length" | "diameter" | "outlet";
        /**
         * @description What a sizing rule sizes.
         * @enum {string}
         */
        SizedCode: "primary length" | "primary inside diameter" | "collector outlet inside diameter" | "collector merge length";
        /** @description First sizes of a job: starting points to draw with. */
        SizesView: {
            /** @description Collector by collector, in the order around its inlets. */
            collectors: components["schemas"]["CollectorOrderView"][];
            /** @description Two groups for a twin entry or two collectors. */
            groups: components["schemas"]["GapsView"][];
            /** @description Keys of job.toml that are not given, and what cannot be said without them. */
            missing: components["schemas"]["MissingView"][];
            /** @description Pairs for a 4-2-1 or the like, from the firing order. */
            pairs: components["schemas"]["GapsView"][];
            /** @description Results of the rules. */
            rules: components["schemas"]["RuleView"][];
        };
        /** @description A slip joint that is pushed in otherwise than drawn. */
        SlideChange: {
            /** @description The joint. */
            joint: string;
            /** @description The overlap, planned and corrected, mm. */
            overlap_mm: number[];
        };
        /** @description A slip joint of the job. */
        SlipFigures: {
            /**
             * Format: double
             * @description Its place, mm from the start.
             */
            at_mm: number;
            /**
             * Format: double
             * @description Axial force below which it does not slide, N.
             */
            friction_n: number;
            /**
             * Format: double
             * @description Axial force that it would carry if it stuck, N, positive: pressed together.
             */
            locked_n: number;
            /** @description Its run. */
            run: string;
            /**
             * Format: double
             * @description How far it slides when hot, mm, negative: together; 0 where it sticks.
             */
            slides_mm: number;
            /** @description Whether it sticks, and does nothing. */
            sticks: boolean;
        };
        /** @description A source of error. */
        SourceShare: {
            /**
             * Format: double
             * @description Its share.
             */
            share: number;
            /** @description What it is. */
            what: string;
        };
        /** @description A band of engine speeds, rpm. */
        SpeedBand: {
            /**
             * Format: double
             * @description First, 500 to 20 000.
             */
            from: number;
            /**
             * Format: double
             * @description Between two.
             */
            step: number;
            /**
             * Format: double
             * @description Last.
             */
            to: number;
        };
        /** @description A collector that was moved. */
        StandsView: {
            /** @description Centre of the inlet plane. */
            at: components["schemas"]["Xyz"];
            /** @description Direction of flow. */
            axis: components["schemas"]["Xyz"];
            /** @description Name of the collector. */
            name: string;
            /** @description Across it, the roll of the inlets. */
            up: components["schemas"]["Xyz"];
        };
        /** @description `begun`: the work has started. */
        Started: {
            /** @description Name to stop the work by. */
            search: string;
        };
        /** @description Specification of a starter job. */
        StarterRequest: {
            /**
             * Format: double
             * @description Distance between the centres of neighbouring ports, mm.
             */
            bore_spacing?: number | null;
            /**
             * Format: int32
             * @description Cylinders of the engine.
             */
            cylinders: number;
            /** @description How the cylinders are arranged. */
            layout: components["schemas"]["LayoutCode"];
            /** @description The job's name. */
            name: string;
            /** @description Make a short turbo manifold instead of a long header. */
            turbo?: boolean;
            /** @description Unit of the figures. */
            units?: components["schemas"]["UnitsCode"];
        };
        /** @description A new text of the shop's file. */
        StockChange: {
            /** @description The text. */
            text: string;
            /**
             * Format: int64
             * @description Version of the file that the client has.
             */
            version: number;
        };
        /** @description Edits of the shop's file. */
        StockEdits: {
            /** @description Edits by place: `["price", "labour_per_hour"]`, `["time", "cut_bend"]`. */
            edits: components["schemas"]["Edit"][];
            /**
             * Format: int64
             * @description Version of the file that the client has.
             */
            version: number;
        };
        /** @description A line of stock used. */
        StockLineView: {
            /**
             * Format: int32
             * @description Quantity.
             */
            count: number;
            /** @description Whether it is stock on hand. */
            from_shelf: boolean;
            /** @description Name of the stock line. */
            item: string;
            /**
             * Format: double
             * @description Price of one, money.
             */
            price: number;
        };
        /** @description The shop's file. */
        StockView: {
            /** @description Currency of its quotes, ISO 4217. */
            currency: string;
            /** @description Problems of the text. */
            problems: components["schemas"]["ProblemView"][];
            /** @description Rates for quotes: the shop's, and the defaults for the rest. */
            rates: components["schemas"]["RateView"][];
            /** @description Text of stock.toml: stock, saw, costs, prices, times; may be empty. */
            text: string;
            /**
             * Format: int64
             * @description Increases with every change; 0: never written.
             */
            version: number;
        };
        /** @description A stopped search. */
        Stopped: {
            /** @description Name of the stopped search. */
            search: string;
        };
        /** @description One event of a stream as it is written; this type only describes it. */
        StreamEvent: {
            /** @description JSON of the event, as text. */
            data: string;
            /** @description What it reports. */
            event: components["schemas"]["EventName"];
        };
        /** @description Everything about a hot header. */
        StrengthAnswer: {
            /** @description What the job does not give. */
            assumed: components["schemas"]["AssumedAnswer"][];
            /** @description Bellows of the job. */
            bellows: components["schemas"]["BellowsFigures"][];
            /** @description Brackets of the job. */
            brackets: components["schemas"]["BracketFigures"][];
            /** @description Collectors that are entered. */
            collectors: components["schemas"]["CollectorAnswer"][];
            /**
             * Format: int32
             * @description 1.
             */
            format: number;
            /** @description Where the gas comes from. */
            gas: components["schemas"]["GasSource"];
            /** @description Single changes that were solved, and the best of them. */
            helps: components["schemas"]["WhatHelps"];
            /** @description Modes from the lowest frequency on. */
            modes: components["schemas"]["ModeAnswer"][];
            /** @description What must be free to move. */
            must_move: components["schemas"]["MustMove"][];
            /** @description What stands near hot tubes, the warmest first. */
            near: components["schemas"]["NearAnswer"][];
            /** @description What was simplified. */
            notes: string[];
            /** @description Runs in the order of the routes. */
            runs: components["schemas"]["RunAnswer"][];
            /** @description Slip joints of the job. */
            slips: components["schemas"]["SlipFigures"][];
        };
        /**
         * @description What a stretch of an item becomes.
         * @enum {string}
         */
        StretchUse: "piece" | "offcut" | "scrap";
        /** @description A stretch of an item. */
        StretchView: {
            /** @description From and to along the item's centreline, mm. */
            at: [
                number,
                number
            ];
            /** @description What it becomes. */
            becomes: components["schemas"]["StretchUse"];
            /** @description The piece's mark. */
            mark?: string | null;
        };
        /** @description `done`, after the survey was adjusted. */
        SurveyAdjusted: {
            /** @description The survey. */
            survey: components["schemas"]["SurveyView"];
        };
        /** @description What the readings of a survey come to. */
        SurveyAnswer: {
            /** @description Roll (left side up) and pitch (front up) of the job's axes against gravity, degrees; with heights or inclines only. */
            level_deg?: number[] | null;
            mirror?: components["schemas"]["MirrorView"] | null;
            /** @description Distances worth measuring next, the best first. */
            next: components["schemas"]["NextReading"][];
            /** @description Points that have a place. */
            points: components["schemas"]["SurveyPoint"][];
            /** @description Every reading. */
            readings: components["schemas"]["ReadingView"][];
            /**
             * Format: int64
             * @description Readings beyond those that are needed.
             */
            redundancy: number;
            /** @description Other answers that fit nearly as well: the points that lie elsewhere in them. */
            rivals: components["schemas"]["PlaceView"][][];
            /** @description Whether the job can be built on it: all points fixed, one answer. */
            settled: boolean;
            /** @description Names of points without a place. */
            unfixed: string[];
        };
        /** @description A point with its place. */
        SurveyPoint: {
            /** @description In the job's axes, mm. */
            at_mm: components["schemas"]["Xyz"];
            /** @description Name of the point in the survey. */
            name: string;
            /** @description Seen from above: x and y. */
            plan: components["schemas"]["Ellipse"];
            /** @description Standard deviations, mm. */
            sd_mm: components["schemas"]["Xyz"];
            /** @description Seen from the left: x and z. */
            side: components["schemas"]["Ellipse"];
        };
        /** @description A survey. */
        SurveyView: {
            answer?: components["schemas"]["SurveyAnswer"] | null;
            /** @description survey.toml as a tree; null without one, or when it is not TOML. */
            document?: unknown;
            photos?: components["schemas"]["PhotosView"] | null;
            /** @description Marker plates as the job's survey sheets print them; their bar has the next two numbers. */
            printed: components["schemas"]["PrintedPlate"][];
            /** @description All problems of it and of its photos. */
            problems: components["schemas"]["ProblemView"][];
            /** @description Unit of bare numbers in it. */
            units: components["schemas"]["UnitsCode"];
        };
        /** @description Which version to write into. */
        SurveyWrite: {
            /** @description Whether numbers typed since the last time are replaced too. */
            overwrite?: boolean;
            /**
             * Format: int64
             * @description The version that was seen.
             */
            version: number;
        };
        /** @description The job with the places of its survey. */
        SurveyWritten: {
            /** @description Values that changed, and those that were left as they were typed. */
            changes: components["schemas"]["WrittenValue"][];
            /** @description The job. */
            job: components["schemas"]["JobView"];
        };
        /** @description A joint that is tacked. */
        TackView: {
            /** @description O'clock of its tacks: 12 is the joint's reference line, clockwise looking downstream. */
            hours: number[];
            /** @description Name of the joint. */
            joint: string;
            /** @description Whether it is tacked on the jig, because a torch has no room on the vehicle. */
            on_jig: boolean;
        };
        /** @description A tail pipe. */
        TailView: {
            /** @description Direction of flow there. */
            axis: components["schemas"]["Xyz"];
            /** @description The collector it leaves. */
            from: string;
            /**
             * Format: double
             * @description Outside diameter, mm.
             */
            od: number;
            /** @description Where it ends. */
            to: components["schemas"]["Xyz"];
            /** @description Points that it passes through. */
            via: components["schemas"]["Xyz"][];
        };
        /** @description The cuts that are done. */
        Ticks: {
            /** @description Ids of the cuts: `b1-2`. */
            done: string[];
            /** @description Hash of the plan: `plan.hash` of the job. */
            plan: string;
        };
        /**
         * @description What a survey's reading was made with.
         * @enum {string}
         */
        ToolCode: "calipers" | "rule" | "tape" | "rod" | "outside" | "inside" | "height" | "incline" | "flush" | "row";
        /** @description The path of a tool. */
        ToolView: {
            /** @description Start of the tool's path. */
            from: components["schemas"]["Xyz"];
            /** @description Its name: `bolt 2 of port 1`. */
            name: string;
            /**
             * Format: double
             * @description Radius, mm.
             */
            radius: number;
            /** @description Where it ends. */
            to: components["schemas"]["Xyz"];
        };
        /** @description Edits to try. */
        TrialRequest: {
            edit?: components["schemas"]["RunEdit"] | null;
            /** @description Runs that differ from the job's. */
            runs?: components["schemas"]["ChangedRun"][];
        };
        /** @description Result of a trial. */
        TrialResult: {
            /** @description Why there are no routes. */
            refusal?: string | null;
            routes?: components["schemas"]["RoutesView"] | null;
        };
        /** @description A line of a file, and a stretch of it, in characters. */
        Underline: {
            /** @description Characters before the stretch. */
            from: number;
            /** @description Characters of the stretch. */
            len: number;
            /** @description The line, or the part of it around the place. */
            text: string;
        };
        /**
         * @description A unit of length.
         * @enum {string}
         */
        UnitsCode: "mm" | "in";
        /** @description One requirement that is not met. */
        UnmetView: {
            at?: components["schemas"]["Xyz"] | null;
            /**
             * Format: double
             * @description Arc length along the run, when at one place.
             */
            at_mm?: number | null;
            /**
             * Format: double
             * @description The amount missing: mm, or degrees where it is an angle; 1 where there is no amount.
             */
            by: number;
            /** @description The specific finding. */
            finding: components["schemas"]["FindingCode"];
            /** @description Names and measures of the finding; their keys go with `finding`. */
            measures: Record<string, never>;
            /** @description The finding in words, lengths in the reader's unit. */
            message: string;
            /** @description The requirement. */
            requirement: components["schemas"]["RequirementCode"];
            /** @description The run; null when it is not one run's. */
            run?: string | null;
        };
        /** @description Pressures at the valves of one cylinder. */
        ValvePressures: {
            /** @description Degrees of crank from the top dead centre at which it fires, ascending. */
            angle_deg: number[];
            /** @description Waves that come back to its exhaust valves, ascending. */
            arrivals: components["schemas"]["Arrival"][];
            /**
             * Format: int32
             * @description The cylinder.
             */
            cylinder: number;
            /** @description In the cylinder, kPa. */
            cylinder_kpa: number[];
            /** @description Absolute pressure in the pipe at the exhaust valves, kPa. */
            exhaust_kpa: number[];
            /** @description Lift of the exhaust valves, mm. */
            exhaust_lift_mm: number[];
            /** @description In the pipe at the intake valves, kPa. */
            intake_kpa: number[];
            /** @description Lift of the intake valves, mm. */
            intake_lift_mm: number[];
        };
        /** @description Pressure along a run over crank angle. */
        WavePicture: {
            /** @description Degrees of crank from its firing, ascending. */
            angle_deg: number[];
            /** @description Distance from its exhaust valves, ascending, mm. */
            at_mm: number[];
            /**
             * Format: int32
             * @description The cylinder whose primary it is.
             */
            cylinder: number;
            /** @description Where one pipe ends and the next begins, mm. */
            joints_mm: number[];
            /** @description Absolute pressure by angle and distance, kPa. */
            kpa: number[][];
        };
        /** @description One speed of a header. */
        WavesRequest: {
            /** @description Other sizes than drawn. */
            change?: components["schemas"]["Change"];
            /**
             * Format: double
             * @description Engine speed, 500 to 20 000 rpm.
             */
            rpm: number;
        };
        /** @description What a single change does. */
        WhatHelps: {
            /** @description The header as it is. */
            before: components["schemas"]["Fares"];
            /** @description The best changes, the best first. */
            best: components["schemas"]["Help"][];
            hotter?: components["schemas"]["HotterRun"] | null;
            /** @description Changes after which something would be loose, in words. */
            mechanisms: string[];
            /** @description Changes that were solved. */
            tried: number;
        };
        /** @description A value of job.toml that the survey gives. */
        WrittenValue: {
            /** @description What the survey says. */
            is: number[];
            /** @description Whether it was left as typed. */
            kept: boolean;
            /** @description Where it stands: `port[0].at`. */
            path: string;
            /** @description Whether what stood there was typed since the survey was last written. */
            typed: boolean;
            /** @description What stood there, in the job's unit; null where nothing did. */
            was?: number[] | null;
        };
        /** @description A point in mm, or a direction: x, y, z. */
        Xyz: [
            number,
            number,
            number
        ];
    };
    responses: never;
    parameters: never;
    requestBodies: never;
    headers: never;
    pathItems: never;
}
export type AlternativeList = components['schemas']['AlternativeList'];
export type AlternativeView = components['schemas']['AlternativeView'];
export type Arrival = components['schemas']['Arrival'];
export type AssemblyStep = components['schemas']['AssemblyStep'];
export type AssemblyView = components['schemas']['AssemblyView'];
export type Assumed = components['schemas']['Assumed'];
export type AssumedAnswer = components['schemas']['AssumedAnswer'];
export type AtVersion = components['schemas']['AtVersion'];
export type BandRequest = components['schemas']['BandRequest'];
export type BayView = components['schemas']['BayView'];
export type BellowsFigures = components['schemas']['BellowsFigures'];
export type BestAt = components['schemas']['BestAt'];
export type Better = components['schemas']['Better'];
export type BetterPlan = components['schemas']['BetterPlan'];
export type Booked = components['schemas']['Booked'];
export type BookingCancelled = components['schemas']['BookingCancelled'];
export type BookingList = components['schemas']['BookingList'];
export type BookingView = components['schemas']['BookingView'];
export type BoundsView = components['schemas']['BoundsView'];
export type BracketFigures = components['schemas']['BracketFigures'];
export type BuildSide = components['schemas']['BuildSide'];
export type BuildStep = components['schemas']['BuildStep'];
export type ChanceView = components['schemas']['ChanceView'];
export type Change = components['schemas']['Change'];
export type ChangeCode = components['schemas']['ChangeCode'];
export type ChangedRun = components['schemas']['ChangedRun'];
export type ClockingChange = components['schemas']['ClockingChange'];
export type CollectorAnswer = components['schemas']['CollectorAnswer'];
export type CollectorOrderView = components['schemas']['CollectorOrderView'];
export type CollectorView = components['schemas']['CollectorView'];
export type Compared = components['schemas']['Compared'];
export type ComparedRun = components['schemas']['ComparedRun'];
export type Comparison = components['schemas']['Comparison'];
export type CurrentView = components['schemas']['CurrentView'];
export type CurveAnswer = components['schemas']['CurveAnswer'];
export type CurveRequest = components['schemas']['CurveRequest'];
export type CutDone = components['schemas']['CutDone'];
export type CutOpenView = components['schemas']['CutOpenView'];
export type CutPart = components['schemas']['CutPart'];
export type CutRequest = components['schemas']['CutRequest'];
export type CutView = components['schemas']['CutView'];
export type DocumentChange = components['schemas']['DocumentChange'];
export type DocumentView = components['schemas']['DocumentView'];
export type DrawnSizes = components['schemas']['DrawnSizes'];
export type Edit = components['schemas']['Edit'];
export type Edits = components['schemas']['Edits'];
export type ElementKind = components['schemas']['ElementKind'];
export type ElementView = components['schemas']['ElementView'];
export type Ellipse = components['schemas']['Ellipse'];
export type EntryPulse = components['schemas']['EntryPulse'];
export type ErrorBody = components['schemas']['ErrorBody'];
export type ErrorCode = components['schemas']['ErrorCode'];
export type ErrorView = components['schemas']['ErrorView'];
export type EventName = components['schemas']['EventName'];
export type ExampleList = components['schemas']['ExampleList'];
export type ExampleView = components['schemas']['ExampleView'];
export type ExtraView = components['schemas']['ExtraView'];
export type FaceView = components['schemas']['FaceView'];
export type Fares = components['schemas']['Fares'];
export type FiguresView = components['schemas']['FiguresView'];
export type FindingCode = components['schemas']['FindingCode'];
export type Fineness = components['schemas']['Fineness'];
export type FitPiece = components['schemas']['FitPiece'];
export type FitRun = components['schemas']['FitRun'];
export type FitView = components['schemas']['FitView'];
export type ForecastView = components['schemas']['ForecastView'];
export type FormatCode = components['schemas']['FormatCode'];
export type FromExample = components['schemas']['FromExample'];
export type FromStarter = components['schemas']['FromStarter'];
export type FromText = components['schemas']['FromText'];
export type GapsView = components['schemas']['GapsView'];
export type GasBand = components['schemas']['GasBand'];
export type GasCurve = components['schemas']['GasCurve'];
export type GasMap = components['schemas']['GasMap'];
export type GasRefusal = components['schemas']['GasRefusal'];
export type GasSource = components['schemas']['GasSource'];
export type GasWaves = components['schemas']['GasWaves'];
export type GroupCode = components['schemas']['GroupCode'];
export type Health = components['schemas']['Health'];
export type Help = components['schemas']['Help'];
export type HelpKind = components['schemas']['HelpKind'];
export type HotterRun = components['schemas']['HotterRun'];
export type InletView = components['schemas']['InletView'];
export type ItemShapeView = components['schemas']['ItemShapeView'];
export type ItemView = components['schemas']['ItemView'];
export type JobChange = components['schemas']['JobChange'];
export type JobDeleted = components['schemas']['JobDeleted'];
export type JobList = components['schemas']['JobList'];
export type JobState = components['schemas']['JobState'];
export type JobSummary = components['schemas']['JobSummary'];
export type JobView = components['schemas']['JobView'];
export type KeepoutView = components['schemas']['KeepoutView'];
export type LayoutCode = components['schemas']['LayoutCode'];
export type Limits = components['schemas']['Limits'];
export type LineView = components['schemas']['LineView'];
export type MapRequest = components['schemas']['MapRequest'];
export type Meets = components['schemas']['Meets'];
export type MeshAdded = components['schemas']['MeshAdded'];
export type MeshView = components['schemas']['MeshView'];
export type MirrorView = components['schemas']['MirrorView'];
export type MissingView = components['schemas']['MissingView'];
export type ModeAnswer = components['schemas']['ModeAnswer'];
export type MoveReason = components['schemas']['MoveReason'];
export type MovedView = components['schemas']['MovedView'];
export type MustMove = components['schemas']['MustMove'];
export type NearAnswer = components['schemas']['NearAnswer'];
export type NewJob = components['schemas']['NewJob'];
export type NewShelfItem = components['schemas']['NewShelfItem'];
export type NextReading = components['schemas']['NextReading'];
export type NoPlacesCode = components['schemas']['NoPlacesCode'];
export type OffView = components['schemas']['OffView'];
export type Op = components['schemas']['Op'];
export type OpenEndView = components['schemas']['OpenEndView'];
export type Origin = components['schemas']['Origin'];
export type OriginCode = components['schemas']['OriginCode'];
export type PaceView = components['schemas']['PaceView'];
export type PaperCode = components['schemas']['PaperCode'];
export type PartKind = components['schemas']['PartKind'];
export type PartMove = components['schemas']['PartMove'];
export type PartTrial = components['schemas']['PartTrial'];
export type PartView = components['schemas']['PartView'];
export type PathStep = components['schemas']['PathStep'];
export type PhotoProgress = components['schemas']['PhotoProgress'];
export type PhotoState = components['schemas']['PhotoState'];
export type PhotoView = components['schemas']['PhotoView'];
export type PhotosView = components['schemas']['PhotosView'];
export type PieceChange = components['schemas']['PieceChange'];
export type PieceProgress = components['schemas']['PieceProgress'];
export type PieceView = components['schemas']['PieceView'];
export type PlaceView = components['schemas']['PlaceView'];
export type PlanView = components['schemas']['PlanView'];
export type PlateState = components['schemas']['PlateState'];
export type PlateView = components['schemas']['PlateView'];
export type PoolLine = components['schemas']['PoolLine'];
export type PoolView = components['schemas']['PoolView'];
export type PortView = components['schemas']['PortView'];
export type PrintedPlate = components['schemas']['PrintedPlate'];
export type ProblemView = components['schemas']['ProblemView'];
export type QuoteFile = components['schemas']['QuoteFile'];
export type QuoteLineFile = components['schemas']['QuoteLineFile'];
export type QuoteRunFile = components['schemas']['QuoteRunFile'];
export type QuoteSummary = components['schemas']['QuoteSummary'];
export type QuoteView = components['schemas']['QuoteView'];
export type RateTable = components['schemas']['RateTable'];
export type RateView = components['schemas']['RateView'];
export type RatesChange = components['schemas']['RatesChange'];
export type ReadingState = components['schemas']['ReadingState'];
export type ReadingView = components['schemas']['ReadingView'];
export type RelaxationView = components['schemas']['RelaxationView'];
export type RemedyView = components['schemas']['RemedyView'];
export type RequirementCode = components['schemas']['RequirementCode'];
export type ReserveView = components['schemas']['ReserveView'];
export type RevisionList = components['schemas']['RevisionList'];
export type RevisionName = components['schemas']['RevisionName'];
export type RevisionView = components['schemas']['RevisionView'];
export type RoutesChange = components['schemas']['RoutesChange'];
export type RoutesView = components['schemas']['RoutesView'];
export type RuleView = components['schemas']['RuleView'];
export type RunAnswer = components['schemas']['RunAnswer'];
export type RunEdit = components['schemas']['RunEdit'];
export type RunFigures = components['schemas']['RunFigures'];
export type RunGas = components['schemas']['RunGas'];
export type RunKind = components['schemas']['RunKind'];
export type RunShape = components['schemas']['RunShape'];
export type RunView = components['schemas']['RunView'];
export type SearchDone = components['schemas']['SearchDone'];
export type SearchRequest = components['schemas']['SearchRequest'];
export type SeenMarker = components['schemas']['SeenMarker'];
export type SeverityCode = components['schemas']['SeverityCode'];
export type ShapeView = components['schemas']['ShapeView'];
export type SheetKindCode = components['schemas']['SheetKindCode'];
export type SheetList = components['schemas']['SheetList'];
export type SheetSetCode = components['schemas']['SheetSetCode'];
export type SheetView = components['schemas']['SheetView'];
export type ShelfItemRemoved = components['schemas']['ShelfItemRemoved'];
export type ShelfItemView = components['schemas']['ShelfItemView'];
export type ShelfShape = components['schemas']['ShelfShape'];
export type ShelfThing = components['schemas']['ShelfThing'];
export type ShelfView = components['schemas']['ShelfView'];
export type ShopChange = components['schemas']['ShopChange'];
export type ShopView = components['schemas']['ShopView'];
export type SignIn = components['schemas']['SignIn'];
export type SignedIn = components['schemas']['SignedIn'];
export type Size = components['schemas']['Size'];
export type SizedCode = components['schemas']['SizedCode'];
export type SizesView = components['schemas']['SizesView'];
export type SlideChange = components['schemas']['SlideChange'];
export type SlipFigures = components['schemas']['SlipFigures'];
export type SourceShare = components['schemas']['SourceShare'];
export type SpeedBand = components['schemas']['SpeedBand'];
export type StandsView = components['schemas']['StandsView'];
export type Started = components['schemas']['Started'];
export type StarterRequest = components['schemas']['StarterRequest'];
export type StockChange = components['schemas']['StockChange'];
export type StockEdits = components['schemas']['StockEdits'];
export type StockLineView = components['schemas']['StockLineView'];
export type StockView = components['schemas']['StockView'];
export type Stopped = components['schemas']['Stopped'];
export type StreamEvent = components['schemas']['StreamEvent'];
export type StrengthAnswer = components['schemas']['StrengthAnswer'];
export type StretchUse = components['schemas']['StretchUse'];
export type StretchView = components['schemas']['StretchView'];
export type SurveyAdjusted = components['schemas']['SurveyAdjusted'];
export type SurveyAnswer = components['schemas']['SurveyAnswer'];
export type SurveyPoint = components['schemas']['SurveyPoint'];
export type SurveyView = components['schemas']['SurveyView'];
export type SurveyWrite = components['schemas']['SurveyWrite'];
export type SurveyWritten = components['schemas']['SurveyWritten'];
export type TackView = components['schemas']['TackView'];
export type TailView = components['schemas']['TailView'];
export type Ticks = components['schemas']['Ticks'];
export type ToolCode = components['schemas']['ToolCode'];
export type ToolView = components['schemas']['ToolView'];
export type TrialRequest = components['schemas']['TrialRequest'];
export type TrialResult = components['schemas']['TrialResult'];
export type Underline = components['schemas']['Underline'];
export type UnitsCode = components['schemas']['UnitsCode'];
export type UnmetView = components['schemas']['UnmetView'];
export type ValvePressures = components['schemas']['ValvePressures'];
export type WavePicture = components['schemas']['WavePicture'];
export type WavesRequest = components['schemas']['WavesRequest'];
export type WhatHelps = components['schemas']['WhatHelps'];
export type WrittenValue = components['schemas']['WrittenValue'];
export type Xyz = components['schemas']['Xyz'];
export type $defs = Record<string, never>;
export interface operations {
    unbook: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The booking */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["BookingCancelled"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    examples: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ExampleList"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    health: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Health"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    jobs: {
        parameters: {
            query?: {
                /** @description List archived jobs instead of the others. */
                archived?: boolean;
            };
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobList"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    create_job: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["NewJob"];
            };
        };
        responses: {
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    import_job: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/octet-stream": number[];
            };
        };
        responses: {
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    job: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    delete_job: {
        parameters: {
            query: {
                /** @description Version of the job that the client has. */
                version: number;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobDeleted"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    describe_job: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["JobChange"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    alternatives: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["AlternativeList"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    archive: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/zip": number[];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    assembly: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["AssemblyView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    bookings: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["BookingList"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    book: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["AtVersion"];
            };
        };
        responses: {
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Booked"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    compare: {
        parameters: {
            query: {
                /** @description Id of the first revision. */
                a: string;
                /** @description Id of the second revision. */
                b: string;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Comparison"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    copy_job: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    cut: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["CutRequest"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "text/event-stream": components["schemas"]["StreamEvent"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    document: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description `job.toml`, `rates.toml` ... */
                name: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["DocumentView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    put_document: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description `job.toml`, `rates.toml` ... */
                name: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["DocumentChange"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    edit: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Edits"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    export: {
        parameters: {
            query?: {
                /** @description Only this tube or piece: `primary 1`, `1A`. */
                of?: string;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description The format */
                format: components["schemas"]["FormatCode"];
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/octet-stream": number[];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    fit: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["FitView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    accept_fit: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["AtVersion"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    recut_fit: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["AtVersion"];
            };
        };
        responses: {
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    pooled_fits: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["PoolView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    band: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["BandRequest"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["GasBand"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    curve: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["CurveRequest"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["CurveAnswer"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    map: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["MapRequest"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["GasMap"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    sound: {
        parameters: {
            query: {
                /** @description Engine speed of its steady part, 1000 to 20 000 rpm. */
                rpm: number;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "audio/wav": number[];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    waves: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["WavesRequest"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["GasWaves"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    mesh: {
        parameters: {
            query?: {
                /** @description As in its file, in the file's unit, instead of placed on the vehicle. */
                raw?: boolean;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description `scan.stl` */
                name: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/octet-stream": number[];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    put_mesh: {
        parameters: {
            query: {
                /** @description Version of the job that the client has. */
                version: number;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description `scan.stl` */
                name: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/octet-stream": number[];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["MeshAdded"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    papers: {
        parameters: {
            query?: {
                /** @description Paper size; default A4 for jobs in mm and letter for jobs in inches. */
                paper?: components["schemas"]["PaperCode"];
                /** @description Unit of lengths; default the job's. */
                units?: components["schemas"]["UnitsCode"];
                /** @description Set of sheets for the shop; default short. The quote is in neither. */
                set?: components["schemas"]["SheetSetCode"];
                /** @description Only these kinds, separated by commas: `overview,saw`. The quote goes to the customer and is printed alone. */
                only?: components["schemas"]["SheetKindCode"][];
                /** @description The header as it was built and corrected by fit.toml: overview, assembly, jig, inspection. */
                as_built?: boolean;
                /** @description Date printed on every page; left blank when omitted. */
                date?: string;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/pdf": number[];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    sheets: {
        parameters: {
            query?: {
                /** @description Paper size; default A4 for jobs in mm and letter for jobs in inches. */
                paper?: components["schemas"]["PaperCode"];
                /** @description Unit of lengths; default the job's. */
                units?: components["schemas"]["UnitsCode"];
                /** @description Set of sheets for the shop; default short. The quote is in neither. */
                set?: components["schemas"]["SheetSetCode"];
                /** @description Only these kinds, separated by commas: `overview,saw`. The quote goes to the customer and is printed alone. */
                only?: components["schemas"]["SheetKindCode"][];
                /** @description The header as it was built and corrected by fit.toml: overview, assembly, jig, inspection. */
                as_built?: boolean;
                /** @description Date printed on every page; left blank when omitted. */
                date?: string;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["SheetList"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    photo: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description `IMG_01.jpg` */
                name: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "image/jpeg": number[];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    put_photo: {
        parameters: {
            query: {
                /** @description Version of the job that the client has. */
                version: number;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description `IMG_01.jpg` */
                name: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/octet-stream": number[];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    delete_photo: {
        parameters: {
            query: {
                /** @description Version of the job that the client has. */
                version: number;
            };
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description `IMG_01.jpg` */
                name: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    picture: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "image/svg+xml": string;
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    quote: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["QuoteView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    put_rates: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["RatesChange"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    redo: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["AtVersion"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    revisions: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["RevisionList"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    name_revision: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description The revision */
                revision: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["RevisionName"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["RevisionView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    restore_revision: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description The revision */
                revision: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["AtVersion"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    put_routes: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["RoutesChange"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    saw: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Ticks"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    put_saw: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["Ticks"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Ticks"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    search: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["SearchRequest"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "text/event-stream": components["schemas"]["StreamEvent"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    stop_search: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
                /** @description From the event `begun` */
                search: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["Stopped"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    sizes: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["SizesView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    strength: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["StrengthAnswer"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    part: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["PartMove"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["PartTrial"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    survey: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["SurveyView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    adjust_survey: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "text/event-stream": components["schemas"]["StreamEvent"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    write_survey: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["SurveyWrite"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["SurveyWritten"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    trial: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["TrialRequest"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["TrialResult"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    undo: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The job */
                id: string;
            };
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["AtVersion"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["JobView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    sign_in: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["SignIn"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["SignedIn"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    sign_out: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["SignedIn"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    shelf: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ShelfView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    add_to_shelf: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["NewShelfItem"];
            };
        };
        responses: {
            201: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ShelfView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    remove_from_shelf: {
        parameters: {
            query?: never;
            header?: never;
            path: {
                /** @description The thing */
                id: string;
            };
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ShelfItemRemoved"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    shop: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ShopView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    change_shop: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["ShopChange"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ShopView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    stock: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody?: never;
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["StockView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    put_stock: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["StockChange"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["StockView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
    edit_stock: {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        requestBody: {
            content: {
                "application/json": components["schemas"]["StockEdits"];
            };
        };
        responses: {
            200: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["StockView"];
                };
            };
            /** @description The request is malformed. */
            400: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Sign in first. */
            401: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request comes from another site. */
            403: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Not found. */
            404: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Someone else changed it first, or it is not possible in the present state. */
            409: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body is too long. */
            413: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The body has the wrong media type. */
            415: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description The request is well formed but cannot be processed. */
            422: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Too many requests. */
            429: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
            /** @description Timed out or overloaded; try again later. */
            503: {
                headers: {
                    [name: string]: unknown;
                };
                content: {
                    "application/json": components["schemas"]["ErrorBody"];
                };
            };
        };
    };
}
