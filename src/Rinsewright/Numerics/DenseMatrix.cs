namespace Rinsewright.Numerics;

/// <summary>Factorisations of small full matrices, stored by rows in spans.</summary>
internal static class DenseMatrix
{
    /// <summary>Lower triangle L with L·Lᵀ = A, in place of A (its upper triangle is cleared).</summary>
    /// <param name="a">Symmetric positive matrix [any]; length n².</param>
    /// <param name="n">Order [-].</param>
    /// <returns>Whether A is positive definite.</returns>
    public static bool Cholesky(Span<double> a, int n)
    {
        for (int j = 0; j < n; j++)
        {
            double diagonal = a[(j * n) + j];
            for (int k = 0; k < j; k++)
            {
                diagonal -= a[(j * n) + k] * a[(j * n) + k];
            }

            if (!(diagonal > 0))
            {
                return false;
            }

            diagonal = Math.Sqrt(diagonal);
            a[(j * n) + j] = diagonal;
            for (int i = j + 1; i < n; i++)
            {
                double sum = a[(i * n) + j];
                for (int k = 0; k < j; k++)
                {
                    sum -= a[(i * n) + k] * a[(j * n) + k];
                }

                a[(i * n) + j] = sum / diagonal;
                a[(j * n) + i] = 0;
            }
        }

        return true;
    }

    /// <summary>Solves A·x = b with row exchanges; A is destroyed and b becomes x.</summary>
    /// <param name="a">Square matrix [any]; length n².</param>
    /// <param name="b">Right side, then solution [any]; length n.</param>
    /// <returns>Absolute value of the determinant [any]; 0 when A is singular and b is not solved.</returns>
    public static double Solve(Span<double> a, Span<double> b)
    {
        int n = b.Length;
        double determinant = 1;
        for (int j = 0; j < n; j++)
        {
            int pivot = j;
            for (int i = j + 1; i < n; i++)
            {
                if (Math.Abs(a[(i * n) + j]) > Math.Abs(a[(pivot * n) + j]))
                {
                    pivot = i;
                }
            }

            double diagonal = a[(pivot * n) + j];
            if (diagonal == 0)
            {
                return 0;
            }

            if (pivot != j)
            {
                for (int k = j; k < n; k++)
                {
                    (a[(j * n) + k], a[(pivot * n) + k]) = (a[(pivot * n) + k], a[(j * n) + k]);
                }

                (b[j], b[pivot]) = (b[pivot], b[j]);
            }

            determinant *= Math.Abs(diagonal);
            for (int i = j + 1; i < n; i++)
            {
                double factor = a[(i * n) + j] / diagonal;
                for (int k = j + 1; k < n; k++)
                {
                    a[(i * n) + k] -= factor * a[(j * n) + k];
                }

                b[i] -= factor * b[j];
            }
        }

        for (int i = n - 1; i >= 0; i--)
        {
            double sum = b[i];
            for (int k = i + 1; k < n; k++)
            {
                sum -= a[(i * n) + k] * b[k];
            }

            b[i] = sum / a[(i * n) + i];
        }

        return determinant;
    }

    /// <summary>
    /// Columns made orthonormal in place by Gram and Schmidt, twice, so that they stay orthogonal to round-off.
    /// </summary>
    /// <param name="q">Matrix of full column rank [any]; length rows × columns.</param>
    /// <param name="columns">Number of columns [-].</param>
    public static void Orthonormalize(Span<double> q, int columns)
    {
        int rows = q.Length / columns;
        for (int j = 0; j < columns; j++)
        {
            for (int pass = 0; pass < 2; pass++)
            {
                for (int k = 0; k < j; k++)
                {
                    double dot = 0;
                    for (int i = 0; i < rows; i++)
                    {
                        dot += q[(i * columns) + k] * q[(i * columns) + j];
                    }

                    for (int i = 0; i < rows; i++)
                    {
                        q[(i * columns) + j] -= dot * q[(i * columns) + k];
                    }
                }
            }

            double norm = 0;
            for (int i = 0; i < rows; i++)
            {
                norm += q[(i * columns) + j] * q[(i * columns) + j];
            }

            norm = Math.Sqrt(norm);
            for (int i = 0; i < rows; i++)
            {
                q[(i * columns) + j] /= norm;
            }
        }
    }
}
